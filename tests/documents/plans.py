"""Invented plan documents: given pieces laid on given stock in the order given, with every sum taken in Decimal here."""

from decimal import Decimal
from itertools import count

from pricing.units import imperial, metric

WIRE = {"sku": "WIRE-1X19-316-3-16IN", "name": "Wire 1x19, 316, 3/16 in", "construction": "1x19", "material": "316", "size": "3/16 in"}
FIGURES = {"cost": "153.20", "lower_bound": "152.90", "gap": "0.30", "gap_percent": "0.20"}


def length(mm, units="imperial"):
    mm = Decimal(mm)
    return {"mm": f"{mm:.1f}", "text": metric(mm) if units == "metric" else imperial(mm)}


def use(name, stock, pieces, source="new", allowance="3", kept=True, units="imperial"):
    """`pieces` are (label, boat, mm); the allowance follows each piece."""
    at, cuts = Decimal(0), []
    for step, (label, boat, mm) in enumerate(pieces, 1):
        end = at + Decimal(mm)
        lengths = {"length": length(mm, units), "start": length(at, units), "end": length(end, units)}
        cuts.append({"step": step, "label": label, "boat": boat, "quote": "Q-2026-000042" if boat else None, "row": step - 1, **lengths})
        at = end + Decimal(allowance)
    remnant = Decimal(stock) - at
    kept = kept and remnant > 0
    lengths = {"length": length(stock, units), "used": length(at, units), "remnant": length(remnant, units)}
    money = {"remnant_value": "12.00", "cost": "40.00"}
    return {
        "object": name,
        "stock": name.split("#")[0],
        "source": source,
        **lengths,
        "remnant_id": f"{name}/remnant" if kept else None,
        "remnant_kept": kept,
        "cuts": cuts,
        **money,
    }


def totals(uses, units="imperial"):
    def add(values):
        return length(sum((Decimal(each) for each in values), Decimal(0)), units)

    pieces = [cut["length"]["mm"] for each in uses for cut in each["cuts"]]
    used = sum((Decimal(each["used"]["mm"]) for each in uses), Decimal(0))
    remnants = {kept: [each["remnant"]["mm"] for each in uses if each["remnant_kept"] is kept] for kept in (True, False)}
    return {
        "stock": add(each["length"]["mm"] for each in uses), "pieces": add(pieces), "kept": add(remnants[True]), "scrap": add(remnants[False]),
        "allowances": length(used - sum(map(Decimal, pieces)), units), "scrap_percent": "1.2",
    }  # fmt: skip


def stepped(uses):
    """Steps count on from one object of a wire to the next."""
    running = count(1)
    return [{**each, "cuts": [{**cut, "step": next(running)} for cut in each["cuts"]]} for each in uses]


def wire(uses, units="imperial", allowance="3", **changes):
    uses = stepped(uses)
    terms = {"bought_for_the_job": False, "allowance": length(allowance, units), "minimum_remnant": length(1000, units)}
    how = {"proven": True, "rung": "table", "bound_rung": "table", "seconds": "0.012"}
    return {"wire": WIRE, **terms, **FIGURES, **how, "totals": totals(uses, units), "uses": uses, "unplanned": [], "notes": [], **changes}


def plan(wires, units="imperial", **changes):
    head = {"id": "P-7", "day": "2026-11-25", "currency": "USD", "display_units": units, "title": "Kittiwake and 2 more boats"}
    every = [each for row in wires for each in row["uses"]]
    return {**head, **FIGURES, "proven": False, "totals": totals(every, units), "wires": wires, "cautions": [], **changes}


def unplanned(label="LL-1", boat="Kittiwake", mm="400000", **changes):
    why = {"reason": "longer_than_any_stock", "message": "It is longer than any stock of this wire: buy a longer spool."}
    return {"label": label, "boat": boat, "quote": "Q-2026-000042", "row": 3, "length": length(mm), "quantity": 2, **why, **changes}


def numbered(prefix, lengths, boat="Kittiwake"):
    running = count(1)
    return [(f"{prefix}-{next(running)}", boat, mm) for mm in lengths]


BOAT = [9568, 9568, 9602, 9602, 5120, 5121, 5320, 5320, 11873, 11020, 7340, 7340]
ROLES = ("CAP-P", "CAP-S", "INT-P", "INT-S", "LOW-FP", "LOW-FS", "LOW-AP", "LOW-AS", "FORE", "BACK", "LL-P", "LL-S")
NAMES = [(role, "Kittiwake", mm) for role, mm in zip(ROLES, BOAT, strict=True)]

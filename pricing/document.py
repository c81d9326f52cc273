"""The quote as a document: plain dictionaries of text, whole numbers and truth values, ready for JSON. No float of the engine shows.

Amounts of money are rounded to the minor unit where they arise (totals.py) and only written here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from decimal import ROUND_HALF_UP, Decimal
from typing import TYPE_CHECKING, Any

from pricing.derivation import thousandth
from pricing.findings import Finding
from pricing.money import price_text
from pricing.turnbuckle import Exposed
from pricing.units import imperial, metric, tenth

if TYPE_CHECKING:
    from pricing.judging import Advice, Judged
    from pricing.material import Counted
    from pricing.sheet import Priced, PricedCharge, PricedLine
    from pricing.stops import PlacedStop
    from pricing.terms import Terms
    from pricing.totals import Adjustment, Totals
    from pricing.uncertainty import Budget

Json = dict[str, Any]
Text = Callable[[Decimal], str]


def text_in(display_units: str) -> Text:
    """How lengths are written for people: feet and 1/32 in, or 0.1 mm."""
    return imperial if display_units == "imperial" else metric


def _kn(force: Decimal) -> str:
    return str(force.quantize(Decimal("0.01"), ROUND_HALF_UP))


def length(mm: Decimal, text: Text) -> Json:
    """A length with its millimetres to 0.001 and its text, each rounded once from the length itself (MTO LS-100 rev 16 §3: never twice)."""
    return {"mm": str(thousandth(mm)), "text": text(mm)}


def cut_length(mm: Decimal, text: Text) -> Json:
    """Wire to cut, to 0.1 mm; its text rounded from the sum as well, not from the tenths."""
    return {"mm": str(tenth(mm)), "text": text(mm)}


def assembly_document(judged: Judged, counted: Counted | None, findings: tuple[Finding, ...], text: Text) -> Json:
    """One assembly of the quote, its `price` still open. `findings` already bear whole pointers."""
    built, assembly = judged.built, judged.built.assembly
    held = any(each.severity == "stop" for each in findings)
    shown = None if held else built.cut
    return {
        "tag": assembly.tag,
        "role": assembly.role,
        "side": assembly.side,
        "mast": assembly.mast,
        "quantity": assembly.quantity,
        "readiness": "hold" if held else "confirm" if any(each.severity == "ask" for each in findings) else "ready_to_cut",
        "wire": _wire(judged),
        "identified": [each.document() for each in built.named],
        "measured_length": length(built.reduced.mean, text) if built.reduced else None,
        "target_length": length(built.target, text) if built.target is not None and not held else None,
        "cut_length": None if shown is None else cut_length(shown, text),
        "uncertainty": _uncertainty(judged.budget) if judged.budget is not None and not held else None,
        "tolerance": {"mm": str(thousandth(judged.tolerance))},
        "turnbuckle": _turnbuckle(judged, text) if built.turnbuckle is not None and not held else None,
        "stops": [] if held else [_stop(stop, text) for stop in built.stops],
        "derivation": [] if held else [each.document() for each in (*built.target_terms, *built.cut_terms)],
        "strength": _strength(judged) if not held else None,
        "parts": _parts(counted) if counted and not held else [],
        "work": _work(counted) if counted and not held else [],
        "price": None,
        "findings": [each.document() for each in findings],
    }


def _wire(judged: Judged) -> Json | None:
    wire = judged.built.wire
    if wire is None:
        return None
    return {
        "sku": wire.sku,
        "name": wire.name,
        "construction": wire.construction,
        "material": wire.material,
        "size": wire.size,
        "break_kn": _kn(wire.break_kn),
    }


def _uncertainty(budget: Budget) -> Json:
    """Expanded uncertainty with its budget: contributor, standard uncertainty (mm), share of the variance (per cent), degrees of freedom."""
    largest = budget.largest()
    return {
        "mm": f"{budget.expanded:.3f}",
        "largest": largest.name,
        "to_shrink": largest.remedy,
        "k": f"{budget.k:.2f}",
        "degrees_of_freedom": budget.degrees,
        "budget": [
            {"contributor": each.name, "mm": f"{each.u:.3f}", "percent": f"{100 * budget.share(each):.1f}", "degrees_of_freedom": each.dof}
            for each in budget.doubts
        ],
    }


def _exposed(at: Exposed, text: Text) -> Json:
    return {"upper_exposed": length(at.upper, text), "lower_exposed": length(at.lower, text)}


def _turnbuckle(judged: Judged, text: Text) -> Json:
    settled, advice = judged.built.settled, judged.advice
    asked = judged.built.assembly.turnbuckle
    body = None if asked is None else asked.body
    if settled is None or settled.build is None or advice is None:
        return {
            "body": body, "built": "to_the_stud", "build_setting": None, "recorded": None, "take_up": None, "let_out": None,
            "travel_needed": None, "turns_from_recorded": None, "equalised": None, "proposal": None,
        }  # fmt: skip
    return {
        "body": body,
        "built": settled.how,
        "build_setting": _exposed(settled.build, text),
        "recorded": _exposed(settled.recorded, text) if settled.recorded is not None else None,
        **_advice(advice, text),
    }


def _advice(advice: Advice, text: Text) -> Json:
    proposal = advice.proposal
    return {
        "take_up": length(advice.take_up, text),
        "let_out": length(advice.let_out, text),
        "travel_needed": length(advice.needed, text),
        "turns_from_recorded": None if advice.turns is None else f"{advice.turns:.2f}",
        "equalised": _exposed(advice.equalised, text),
        "proposal": None
        if proposal is None
        else {
            "build_setting": _exposed(proposal.setting, text),
            "cut_length": cut_length(proposal.cut, text),
        },
    }


def _stop(stop: PlacedStop, text: Text) -> Json:
    return {
        "stop": stop.place + 1,
        "sku": stop.ball.sku,
        "ball": {"mm": str(stop.ball.ball)},
        "centre_from_upper_bearing": length(stop.from_upper_bearing, text),
        "centre_from_upper_cut_end": length(stop.from_upper_cut_end, text),
    }


def _strength(judged: Judged) -> Json | None:
    weakest, wire = judged.weakest, judged.built.wire
    if weakest is None or wire is None:
        return None
    return {
        "weakest": weakest.name,
        "kN": _kn(weakest.break_kn),
        "of_wire": f"{weakest.break_kn / wire.break_kn:.2f}",
        "source": weakest.source,
    }


def _parts(counted: Counted) -> list[Json]:
    return [
        {
            "sku": part.sku,
            "name": part.name,
            "quantity": part.quantity,
            "at": part.at,
            "kept": part.kept,
            "family": part.family,
            "attachment": part.attachment,
        }
        for part in counted.parts
    ]


def _work(counted: Counted) -> list[Json]:
    return [
        {"sku": labour.sku, "name": labour.name, "operation": work.operation, "quantity": work.quantity, "at": work.at}
        for labour, work in counted.work
    ]


def seller_document(terms: Terms) -> Json:
    """Who sells, as the head of a quotation names it; None for what the shop's terms do not say."""
    address = {name: getattr(terms, f"seller_{name}") or None for name in ("street", "city", "region", "postal_code", "country")}
    return {
        "name": terms.seller,
        "address": address if any(address.values()) else None,
        **{name: getattr(terms, f"seller_{name}") or None for name in ("phone", "email", "tax_number", "legal")},
    }


def lines_document(priced: Priced) -> list[Json]:
    """The priced lines."""
    return [_line(line, priced.currency) for line in priced.lines]


def _line(line: PricedLine, currency: str) -> Json:
    return {
        "id": line.id,
        "sku": line.sku,
        "name": line.name,
        "note": line.note,
        "group": line.group,
        "rule": line.rule,
        "quantity": str(line.quantity),
        "unit": line.unit,
        "unit_price": price_text(line.net_price, currency),
        "amount": str(line.amount),
        "allowances": _adjustments(line.adjustments, currency, charge=False),
        "charges": _adjustments(line.adjustments, currency, charge=True),
        "net": str(line.net),
        "tax": {"category": line.category, "rate": str(line.rate)},
    }


def _adjustments(all_of: Iterable[Adjustment], currency: str, *, charge: bool) -> list[Json]:
    return [
        {
            "reason": each.reason,
            "code": each.code,
            "percent": None if each.percent is None else str(each.percent),
            "amount": str(each.amount),
        }
        for each in all_of
        if each.charge is charge
    ]


def charges_document(charges: Iterable[PricedCharge], currency: str) -> list[Json]:
    """Charges on the document: freight, minimum order."""
    return [
        {
            "reason": each.reason,
            "code": each.code,
            "rule": each.rule,
            "amount": str(each.amount),
            "tax": {"category": each.category, "rate": str(each.rate)},
        }
        for each in charges
    ]


def totals_document(totals: Totals, currency: str) -> Json:
    """EN 16931 document totals."""
    return {
        "lines": str(totals.lines),
        "allowances": str(totals.allowances),
        "charges": str(totals.charges),
        "tax_exclusive": str(totals.tax_exclusive),
        "tax": [
            {
                "category": share.category,
                "rate": str(share.rate),
                "taxable": str(share.taxable),
                "amount": str(share.amount),
            }
            for share in totals.tax
        ],
        "tax_amount": str(totals.tax_amount),
        "tax_inclusive": str(totals.tax_inclusive),
        "payable": str(totals.payable),
    }

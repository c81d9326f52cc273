"""Cutting plans as documents: for the bench with what they really cost, or for a quote without any money in them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from pricing.bench.planning import WirePlan
from pricing.cutting import Cut, Plan, Unplanned, Use
from pricing.document import Json, Text
from pricing.document import cut_length as tenths
from pricing.money import round_money

CAUTIONS = (
    "Measure each spool and offcut before its first cut: the plan trusts the lengths that stock records state.",
    "Cut in the order given, each piece once more against its own cut length.",
    "Mark each kept rest with the plan's name for it; once the plan is taken, the reply (`kept_as`) tells its tag on the shelf: write that on it, too.",
)
REASONS = {
    "longer_than_any_stock": "It is longer than any stock of this wire: buy a longer spool.",
    "stock_exhausted": "The stock of this wire does not hold it beside the other pieces: add stock and plan again.",
    "no_stock": "There is no stock of this wire: add it and plan again.",
}
_WENT = ("stock", "pieces", "allowances", "kept", "customers", "scrap")
MONEY_OF_PLAN = frozenset({"cost", "lower_bound", "gap", "gap_percent", "rest_value", "charged"})


def plan_document(plans: Sequence[WirePlan], currency: str, text: Text) -> Json:
    """The plans of all wires with their real cost, to the currency's minor unit, and how far each is shown to be the best."""
    made = [each.plan for each in plans if each.plan is not None]
    return {
        "currency": currency,
        **_money(sum((each.cost for each in made), Decimal(0)), sum((each.lower_bound for each in made), Decimal(0)), currency),
        "proven": all(each.plan is not None and each.plan.proven for each in plans),
        "totals": _totals([_millimetres(each) for each in plans if each.plan is not None], text),
        "wires": [_wire(each, currency, text) for each in plans],
        "cautions": list(CAUTIONS),
    }


def without_money(value: Any) -> Any:
    """The same document for a customer: which cuts, not what they cost the shop."""
    if isinstance(value, dict):
        return {key: without_money(each) for key, each in value.items() if key not in MONEY_OF_PLAN}
    return [without_money(each) for each in value] if isinstance(value, list) else value


def _money(cost: Decimal, bound: Decimal, currency: str) -> Json:
    gap = cost - bound
    percent = Decimal(0) if not gap else gap / bound * 100 if bound else Decimal(100)
    return {
        "cost": str(round_money(cost, currency)),
        "lower_bound": str(round_money(bound, currency)),
        "gap": _gap(gap, currency),
        "gap_percent": str(percent.quantize(Decimal("0.0001"), ROUND_HALF_UP)),
    }


def _gap(gap: Decimal, currency: str) -> str:
    """To the minor unit; a gap that would round to nothing is given whole, so that what is not proven is never a gap of 0.00."""
    rounded = round_money(gap, currency)
    return f"{gap.normalize():f}" if gap and not rounded else str(rounded)


def _millimetres(each: WirePlan) -> dict[str, Decimal]:
    """Where the touched millimetres of one wire went; what is left of wire bought for the job is the customer's, no scrap."""
    sums = {
        name: getattr(each.plan.totals, name) if each.plan else Decimal(0) for name in ("stock", "pieces", "allowances", "kept", "scrap")
    }
    for_the_job = each.bought_for_the_job
    return {**sums, "customers": sums["scrap"] if for_the_job else Decimal(0), "scrap": Decimal(0) if for_the_job else sums["scrap"]}


def _totals(parts: Iterable[Mapping[str, Decimal]], text: Text) -> Json:
    parts = tuple(parts)
    sums = {name: sum((each[name] for each in parts), Decimal(0)) for name in _WENT}
    gone = sums["stock"] - sums["kept"] - sums["customers"]
    share = sums["scrap"] / gone * 100 if gone else Decimal(0)
    return {
        **{name: tenths(mm, text) for name, mm in sums.items()},
        "scrap_percent": str(share.quantize(Decimal("0.01"), ROUND_HALF_UP)),
    }


def _wire(each: WirePlan, currency: str, text: Text) -> Json:
    made, wire = each.plan, each.wire
    return {
        "wire": {
            "sku": wire.sku, "name": wire.name, "construction": wire.construction, "material": wire.material, "size": wire.size,
        },
        "bought_for_the_job": each.bought_for_the_job,
        "for_quote": each.for_quote,
        "allowance": tenths(each.policy.allowance, text),
        "least_rest": tenths(each.policy.least_rest, text),
        **_money(made.cost if made else Decimal(0), made.lower_bound if made else Decimal(0), currency),
        **_proof(made),
        "totals": _totals([_millimetres(each)], text),
        "uses": _uses(made.uses, each, currency, text) if made else [],
        "unplanned": list(_unplanned(each, text)),
        "charged": None,
        "notes": [{"code": note.code, "message": note.message, "subject": note.subject} for note in made.notes] if made else [],
    }  # fmt: skip


def _proof(made: Plan | None) -> Json:
    seconds = made.elapsed if made else None
    return {
        "proven": made.proven if made else False,
        "rung": made.stage if made else None,
        "bound_rung": made.bound_stage if made else None,
        "seconds": None if seconds is None else f"{seconds:.3f}",
    }


def _uses(uses: Sequence[Use], each: WirePlan, currency: str, text: Text) -> list[Json]:
    found, step = [], 0
    for use in uses:
        found.append({
            "object": use.object_id if each.for_quote is None else f"{use.object_id} for {each.for_quote}",
            "stock": use.stock_id,
            "source": use.source.value,
            "length": tenths(use.length, text),
            "used": tenths(use.used, text),
            "rest": tenths(use.rest, text),
            "rest_kept": use.kept,
            "rest_id": use.rest_id,
            "rest_goes_to": _goes_to(use, each),
            "rest_value": str(round_money(use.rest_value, currency)),
            "cost": str(round_money(use.cost, currency)),
            "cuts": [_cut(cut, step + place, each, text) for place, cut in enumerate(use.cuts, 1)],
        })  # fmt: skip
        step += len(use.cuts)
    return found


def _goes_to(use: Use, each: WirePlan) -> str | None:
    """Who gets the rest: the customer, who paid for it, where the wire was bought for the job."""
    if not use.rest:
        return None
    return "shelf" if use.kept else "customer" if each.bought_for_the_job else "scrap"


def _cut(cut: Cut, step: int, each: WirePlan, text: Text) -> Json:
    asked = each.wanted[cut.row]
    return {
        "step": step,
        "label": cut.label,
        "boat": asked.boat,
        "quote": asked.quote,
        "row": cut.row,
        "length": tenths(cut.length, text),
        "start": tenths(cut.start, text),
        "end": tenths(cut.end, text),
    }


def _unplanned(each: WirePlan, text: Text) -> Iterator[Json]:
    left = each.plan.unplanned if each.plan else _all_of(each)
    for one in left:
        asked = each.wanted[one.row]
        yield {
            "label": one.label,
            "boat": asked.boat,
            "quote": asked.quote,
            "row": one.row,
            "length": tenths(one.length, text),
            "quantity": one.quantity,
            "reason": one.reason,
            "message": REASONS[one.reason],
        }


def _all_of(each: WirePlan) -> Iterator[Unplanned]:
    for row, asked in enumerate(each.wanted):
        yield Unplanned(row, asked.label, asked.length, asked.quantity, "no_stock")


def charged(lines: Iterable[Mapping[str, Any]], sku: str, currency: str) -> Json:
    """What a quote's customer pays for one wire before tax: the wire itself, and what the shop adds for waste."""
    wire, waste = Decimal(0), Decimal(0)
    for line in lines:
        if line["sku"] == sku and line["group"] == "wire":
            wire += Decimal(line["net"])
        elif line["sku"] == sku and line["group"] == "waste":
            waste += Decimal(line["net"])
    return {"wire": str(round_money(wire, currency)), "waste": str(round_money(waste, currency))}

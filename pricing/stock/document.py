"""Cutting plans as documents: for the bench with their true cost, or for a quote without any prices."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from decimal import ROUND_HALF_UP, Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.cautions import PLAN, cautions
from pricing.costing.demand import metres
from pricing.cutting import Cut, Plan, Unplanned, Use
from pricing.document import Json, Text
from pricing.document import cut_length as tenths
from pricing.money import round_money
from pricing.stock.planning import WirePlan
from pricing.stock.sentences import note_document, why
from pricing.units import tenth
from pricing.wording import Voice

if TYPE_CHECKING:
    from pricing.model import QuotedLine
    from pricing.stock.pieces import WantedPieces

_WENT = ("stock", "pieces", "allowances", "kept", "customers", "scrap")


class Quoted(NamedTuple):
    """What a plan's quotes add to one of its wires: the amounts their customers pay for it, and notes."""

    charged: Json | None = None
    notes: tuple[Json, ...] = ()


def _unquoted(_: WirePlan) -> Quoted:
    return Quoted()


def plan_document(
    plans: Sequence[WirePlan], currency: str, text: Text, voice: Voice, quoted: Callable[[WirePlan], Quoted] = _unquoted
) -> Json:
    """The plans of all wires as JSON, with their true cost to the currency's minor unit and whether each is proven optimal; worded by `voice`.

    `quoted` returns what the plan's quotes add to a wire.
    """
    cut_plans = [each.plan for each in plans if each.plan is not None]
    return {
        "currency": currency,
        **_money(sum((each.cost for each in cut_plans), Decimal(0)), sum((each.lower_bound for each in cut_plans), Decimal(0)), currency),
        "proven": all(each.plan is not None and each.plan.proven for each in plans),
        "totals": _totals([_millimetres(each) for each in plans if each.plan is not None], text),
        "wires": [_wire(each, currency, text, voice, quoted(each)) for each in plans],
        "cautions": cautions(voice.language, PLAN),
    }


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
    """The gap to the minor unit; one that would round to zero is given in full, so that an unproven plan never shows a gap of 0.00."""
    rounded = round_money(gap, currency)
    return f"{gap.normalize():f}" if gap and not rounded else str(rounded)


def _millimetres(wire_plan: WirePlan) -> dict[str, Decimal]:
    """How the touched length of one wire is used, in mm, by name; the remnant of wire bought for the job is the customer's, not scrap."""
    sums = {
        name: getattr(wire_plan.plan.totals, name) if wire_plan.plan else Decimal(0)
        for name in ("stock", "pieces", "allowances", "kept", "scrap")
    }
    for_the_job = wire_plan.bought_for_the_job
    return {**sums, "customers": sums["scrap"] if for_the_job else Decimal(0), "scrap": Decimal(0) if for_the_job else sums["scrap"]}


def customers(wire_plan: WirePlan) -> Decimal:
    """The remnant of wire bought for the job, which is the customer's, in metres to 0.001 m."""
    return metres(tenth(_millimetres(wire_plan)["customers"]) / 1000)


def _totals(parts: Iterable[Mapping[str, Decimal]], text: Text) -> Json:
    parts = tuple(parts)
    sums = {name: sum((each[name] for each in parts), Decimal(0)) for name in _WENT}
    gone = sums["stock"] - sums["kept"] - sums["customers"]
    share = sums["scrap"] / gone * 100 if gone else Decimal(0)
    return {
        **{name: tenths(mm, text) for name, mm in sums.items()},
        "scrap_percent": str(share.quantize(Decimal("0.01"), ROUND_HALF_UP)),
    }


def _wire(wire_plan: WirePlan, currency: str, text: Text, voice: Voice, quoted: Quoted) -> Json:
    plan, wire = wire_plan.plan, wire_plan.wire
    return {
        "wire": {
            "sku": wire.sku, "name": wire.name, "construction": wire.construction, "material": wire.material, "size": wire.size,
        },
        "bought_for_the_job": wire_plan.bought_for_the_job,
        "for_quote": wire_plan.for_quote,
        "allowance": tenths(wire_plan.policy.allowance, text),
        "minimum_remnant": tenths(wire_plan.policy.least_remnant, text),
        **_money(plan.cost if plan else Decimal(0), plan.lower_bound if plan else Decimal(0), currency),
        **_proof(plan),
        "totals": _totals([_millimetres(wire_plan)], text),
        "uses": _uses(plan.uses, wire_plan, currency, text) if plan else [],
        "unplanned": list(_unplanned(wire_plan, text, voice)),
        "charged": quoted.charged,
        "notes": [*(note_document(note, wire_plan, voice) for note in (plan.notes if plan else ())), *quoted.notes],
    }  # fmt: skip


def _proof(plan: Plan | None) -> Json:
    seconds = plan.elapsed if plan else None
    return {
        "proven": plan.proven if plan else False,
        "rung": plan.stage if plan else None,
        "bound_rung": plan.bound_stage if plan else None,
        "seconds": None if seconds is None else f"{seconds:.3f}",
    }


def _uses(uses: Sequence[Use], wire_plan: WirePlan, currency: str, text: Text) -> list[Json]:
    cuts, step = [], 0
    for use in uses:
        cuts.append({
            "object": use.object_id if wire_plan.for_quote is None else f"{use.object_id} for {wire_plan.for_quote}",
            "stock": use.stock_id,
            "source": use.source.value,
            "length": tenths(use.length, text),
            "used": tenths(use.used, text),
            "remnant": tenths(use.remnant, text),
            "remnant_kept": use.kept,
            "remnant_id": use.remnant_id,
            "remnant_goes_to": _goes_to(use, wire_plan),
            "remnant_value": str(round_money(use.remnant_value, currency)),
            "cost": str(round_money(use.cost, currency)),
            "cuts": [_cut(cut, step + place, wire_plan, text) for place, cut in enumerate(use.cuts, 1)],
        })  # fmt: skip
        step += len(use.cuts)
    return cuts


def _goes_to(use: Use, wire_plan: WirePlan) -> str | None:
    """Who gets the remnant: shelf, customer (wire bought for the job, which the customer paid for) or scrap; None without a remnant."""
    if not use.remnant:
        return None
    return "shelf" if use.kept else "customer" if wire_plan.bought_for_the_job else "scrap"


def _cut(cut: Cut, step: int, wire_plan: WirePlan, text: Text) -> Json:
    wanted = wire_plan.wanted[cut.row]
    length = _piece_length(wanted, cut.length, text)
    return {
        "step": step,
        "label": cut.label,
        "boat": wanted.boat,
        "quote": wanted.quote,
        "row": cut.row,
        "length": length,
        "start": tenths(cut.start, text),
        "end": tenths(cut.end, text) if cut.start else length,
    }


def _piece_length(wanted: WantedPieces, mm: Decimal, text: Text) -> Json:
    """The length of a piece as JSON, with the text from its quote if there is one, so that all papers agree."""
    length = tenths(mm, text)
    return {**length, "text": wanted.length_text} if wanted.length_text else length


def unplanned(wire_plan: WirePlan) -> tuple[Unplanned, ...]:
    """The pieces that could not be placed: all of them if there is no stock of that wire."""
    if wire_plan.plan is not None:
        return wire_plan.plan.unplanned
    return tuple(Unplanned(row, wanted.label, wanted.length, wanted.quantity, "no_stock") for row, wanted in enumerate(wire_plan.wanted))


def _unplanned(wire_plan: WirePlan, text: Text, voice: Voice) -> Iterator[Json]:
    for one in unplanned(wire_plan):
        wanted = wire_plan.wanted[one.row]
        yield {
            "label": one.label,
            "boat": wanted.boat,
            "quote": wanted.quote,
            "row": one.row,
            "length": _piece_length(wanted, one.length, text),
            "quantity": one.quantity,
            "reason": one.reason,
            "message": voice.phrase(why(one.reason)),
        }


def charged(lines: Iterable[QuotedLine], currency: str) -> Json:
    """What customers pay before tax for a wire with these lines: the wire itself, and the shop's charges for waste."""
    sums = {"wire": Decimal(0), "waste": Decimal(0)}
    for line in lines:
        if line.group in sums:
            sums[line.group] += line.net
    return {group: str(round_money(amount, currency)) for group, amount in sums.items()}

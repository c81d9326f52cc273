"""A shop's figures of a time: quotes by what became of them, value by month, readiness, what was asked, and what was cut against what was priced."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from service.http.current import engine, plans, store
from service.lifecycle.statuses import Status
from service.storage import Figures, StoredPlan
from service.storage.figures import Count

Document = dict[str, Any]
MOST_DAYS, MOST_PLANS = 1100, 200
SCRAP = ("pieces", "allowances", "scrap", "kept", "customers")
_FIRST_DAY = date(2000, 1, 1)
ACCEPTED = frozenset({Status.ACCEPTED, Status.IN_WORK, Status.BUILT, Status.HANDED_OVER})
_GROUPS = {
    "open": {Status.ISSUED}, "accepted": ACCEPTED, "declined": {Status.DECLINED}, "expired": {Status.EXPIRED}, "withdrawn": {Status.WITHDRAWN},
    "cancelled": {Status.CANCELLED}, "superseded": {Status.SUPERSEDED},
}  # fmt: skip


def figures(first: date, last: date) -> Document:
    """The figures of the quotes that were issued, and of the plans that were taken, from one day to another."""
    kept, today = Figures(store()), engine().today()
    counts = kept.counts(first, last, today)
    made = [each for each in counts if each.status != Status.SUPERSEDED]
    asked = kept.asked(first, last)
    counted = sum(each.quotes for each in counts if each.currency is not None)
    return {
        "from": first.isoformat(),
        "to": last.isoformat(),
        "today": today.isoformat(),
        "quotes": {
            "made": _many(made),
            **{name: _many([each for each in counts if each.status in group]) for name, group in _GROUPS.items()},
        },
        "months": list(_months(made)),
        "readiness": {name: sum(getattr(each, name) for each in made) for name in ("ready_to_cut", "confirm", "hold")},
        "asks": {
            "counted": counted,
            "not_counted": _many(counts) - counted,
            "codes": [{"code": code, "quotes": many} for code, many in sorted(asked.items(), key=lambda each: (-each[1], each[0]))],
        },
        "waste": _waste(kept.taken(first, last)),
    }


def _many(counts: Sequence[Count]) -> int:
    return sum(each.quotes for each in counts)


def _months(made: Sequence[Count]) -> Iterator[Document]:
    """What was made and what was accepted, by month of issue and currency."""
    by_month: dict[tuple[str, str], list[Count]] = {}
    for each in made:
        by_month.setdefault(((_FIRST_DAY + timedelta(each.day)).isoformat()[:7], each.currency or ""), []).append(each)
    for (month, currency), counts in sorted(by_month.items()):
        accepted = [each for each in counts if each.status in ACCEPTED]
        yield {
            "month": month,
            "currency": currency or None,
            "made": _many(counts),
            "accepted": _many(accepted),
            "value_made": _value(counts),
            "value_accepted": _value(accepted),
        }


def _value(counts: Sequence[Count]) -> str:
    """The sum as money with the decimals that it needs, two at least."""
    total = Decimal(sum(each.amount for each in counts)) / 1000
    return f"{total:.3f}" if total != total.quantize(Decimal("0.01")) else f"{total:.2f}"


def _waste(taken: Sequence[str]) -> Document:
    """Where the stock of the newest plans went, and what their quotes were charged for waste, in mm."""
    read = [found for each in taken[:MOST_PLANS] if (found := plans().get(each)) is not None]
    cut: Counter[str] = Counter()
    quotes: dict[str, None] = {}
    for plan in read:
        said = plan.said()
        cut.update({name: Decimal(said["totals"][name]["mm"]) for name in SCRAP if name in said["totals"]})
        quotes.update(dict.fromkeys(_quotes_of(plan, said)))
    priced = [mm for quote_id in quotes if (mm := _priced(quote_id)) is not None]
    return {
        "plans_taken": len(taken),
        "plans_counted": len(read),
        **{f"{name}_mm": f"{Decimal(cut[name]):f}" for name in SCRAP},
        "quotes_counted": len(priced),
        "priced_mm": f"{sum(priced, Decimal(0)):f}",
    }


def _quotes_of(plan: StoredPlan, said: Document) -> list[str]:
    own = plans().quote_of(plan.id)
    return [own] if own else [each["id"] for each in said.get("quotes", [])]


def _priced(quote_id: str) -> Decimal | None:
    """The wire that a quote charges as waste, in mm: allowances of cuts, scrap, and remnants, which go to the customer."""
    stored = store().get(quote_id)
    if stored is None:
        return None
    return sum((each.quantity * 1000 for each in stored.quote().lines if each.group == "waste" and each.unit == "m"), Decimal(0))

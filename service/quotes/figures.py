"""A shop's figures for a period: quotes by status, value by month, readiness, findings by code, and waste as cut and as priced."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from service.http.current import engine, store
from service.lifecycle.statuses import Status
from service.storage import Figures
from service.storage.figures import Count, Waste

Document = dict[str, Any]
MOST_DAYS = 1100
ACCEPTED = frozenset({Status.ACCEPTED, Status.IN_WORK, Status.BUILT, Status.HANDED_OVER})
_GROUPS = {
    "open": {Status.ISSUED}, "accepted": ACCEPTED, "declined": {Status.DECLINED}, "expired": {Status.EXPIRED}, "withdrawn": {Status.WITHDRAWN},
    "cancelled": {Status.CANCELLED}, "superseded": {Status.SUPERSEDED},
}  # fmt: skip


def figures(first: date, last: date) -> Document:
    """The figures for the quotes issued and the plans taken in a period, both days inclusive."""
    kept, today = Figures(store()), engine().today()
    counts = kept.counts(first, last, today)
    made = [each for each in counts if each.status != Status.SUPERSEDED]
    asks = kept.ask_counts(first, last)
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
            "codes": [{"code": code, "quotes": many} for code, many in sorted(asks.items(), key=lambda each: (-each[1], each[0]))],
        },
        "waste": _waste(kept.waste(first, last)),
    }


def _many(counts: Sequence[Count]) -> int:
    return sum(each.quotes for each in counts)


def _months(made: Sequence[Count]) -> Iterator[Document]:
    """Quotes made and quotes accepted, with their values, by month of issue and currency."""
    by_month: dict[tuple[str, str], list[Count]] = {}
    for each in made:
        by_month.setdefault((each.month, each.currency or ""), []).append(each)
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
    """The sum of the amounts as decimal text, with two decimals, or three if needed."""
    total = Decimal(sum(each.amount for each in counts)) / 1000
    return f"{total:.3f}" if total != total.quantize(Decimal("0.01")) else f"{total:.2f}"


def _waste(found: Waste) -> Document:
    """What became of the stock of the plans, and the waste that their quotes charge, in mm."""
    return {
        "plans_taken": found.taken,
        "plans_counted": found.counted,
        **{f"{name}_mm": _mm(many) for name, many in found.went.items()},
        "quotes_counted": found.quotes,
        "priced_mm": _mm(found.priced),
    }


def _mm(thousandths: int) -> str:
    return f"{(Decimal(thousandths) / 1000).normalize():f}"

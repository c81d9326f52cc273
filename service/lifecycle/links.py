"""How long a customer's link opens its quote. Pure: moments and days are given.

Until the end of the quote's last day, in the shop's time zone; an accepted quote is read for a year more. The days that a link was made for
are an upper bound to both.
"""

from __future__ import annotations

from datetime import date, datetime, time, timedelta, tzinfo
from typing import NamedTuple

READS_ON = timedelta(days=365)


class Linked(NamedTuple):
    """What the links of a quote depend on: its last day (ISO), when it was accepted if it was (RFC 3339), and how often its links were ended."""

    valid_until: str
    accepted_at: str | None
    generation: int


def ended(linked: Linked, today: date, now: datetime) -> bool:
    """Whether links to the quote have ended by themselves. `today`: the shop's day."""
    if linked.accepted_at is None:
        return today.isoformat() > linked.valid_until
    return now >= _accepted(linked.accepted_at) + READS_ON


def ends_at(linked: Linked, zone: tzinfo) -> datetime:
    """When links to the quote end by themselves, as it stands. `zone`: the shop's."""
    return _last_moment(linked, zone) if linked.accepted_at is None else _accepted(linked.accepted_at) + READS_ON


def latest(linked: Linked, zone: tzinfo) -> datetime:
    """The same if it is accepted as late as it can be."""
    return max(_last_moment(linked, zone) + READS_ON, ends_at(linked, zone))


def _last_moment(linked: Linked, zone: tzinfo) -> datetime:
    return datetime.combine(date.fromisoformat(linked.valid_until) + timedelta(days=1), time(), zone)


def _accepted(moment: str) -> datetime:
    return datetime.fromisoformat(moment)

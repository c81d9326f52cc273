"""How long a customer's link opens its quote. Pure: the current time and date are passed in.

A link opens the quote until the end of the quote's last day, in the shop's time zone; if the quote is accepted, until a year after the
acceptance. If a link was made for a number of days, it ends after that number at the latest.
"""

from __future__ import annotations

from datetime import date, datetime, time, timedelta, tzinfo
from typing import NamedTuple

READS_ON = timedelta(days=365)


class Linked(NamedTuple):
    """What the validity of a quote's links depends on: its last day (ISO), when it was accepted (RFC 3339) if it was, and how many times its
    links have been ended.
    """

    valid_until: str
    accepted_at: str | None
    generation: int


def ended(linked: Linked, today: date, now: datetime) -> bool:
    """Whether links to the quote have expired. `today`: the shop's date."""
    if linked.accepted_at is None:
        return today.isoformat() > linked.valid_until
    return now >= _accepted(linked.accepted_at) + READS_ON


def ends_at(linked: Linked, zone: tzinfo) -> datetime:
    """When links to the quote expire, given its current state. `zone`: the shop's time zone."""
    return _last_moment(linked, zone) if linked.accepted_at is None else _accepted(linked.accepted_at) + READS_ON


def latest(linked: Linked, zone: tzinfo) -> datetime:
    """When links to the quote expire at the latest: if it is accepted on its last day."""
    return max(_last_moment(linked, zone) + READS_ON, ends_at(linked, zone))


def _last_moment(linked: Linked, zone: tzinfo) -> datetime:
    return datetime.combine(date.fromisoformat(linked.valid_until) + timedelta(days=1), time(), zone)


def _accepted(moment: str) -> datetime:
    return datetime.fromisoformat(moment)

"""Business days: Monday to Friday, without the public holidays of the shop's country if it is known (`holidays`)."""

from __future__ import annotations

from collections.abc import Container
from datetime import date, timedelta

_SATURDAY = 5


def after(start: date, count: int, country: str | None) -> date:
    """The business day `count` business days after `start`. `country`: ISO 3166-1 alpha-2, or with a subdivision (ISO 3166-2, `US-RI`)."""
    free = _holidays(country)
    day = start
    while count > 0:
        day += timedelta(days=1)
        if day.weekday() < _SATURDAY and day not in free:
            count -= 1
    return day


def known(country: str) -> bool:
    """Whether holidays are known for this country or subdivision."""
    try:
        _holidays(country)
    except NotImplementedError:  # raised by the library for an unknown country or subdivision
        return False
    return True


def _holidays(country: str | None) -> Container[date]:
    if country is None:
        return ()
    import holidays

    nation, _, part = country.partition("-")
    return holidays.country_holidays(nation, subdiv=part or None)

"""`customers export WHO`, `customers erase WHO --yes`, `customers retain [--yes]`: what is kept of people, and its end."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from contextlib import closing
from datetime import date

from service import json
from service.commands.out import refuse, say
from service.settings import Settings, variable
from service.storage import Quotes
from service.storage.people import Found, People

LEFT = "Backups made before still hold the person, and a PostgreSQL server its old pages until they are used again."


def export(settings: Settings, who: str) -> int:
    """One customer's data as one JSON document. Raises SQLAlchemyError, WrongSchema."""
    with closing(Quotes(settings.database_url, 1)) as store:
        store.ready()
        people = People(store)
        found = people.quotes_of(who)
        if not found:
            return _nobody(who)
        sys.stdout.write(json.write({"customer": who, "quotes": list(people.given_out(found))}).decode() + "\n")
    return 0


def erase(settings: Settings, who: str, *, sure: bool) -> int:
    """Erase one customer; without `sure` only say what would be erased. Raises SQLAlchemyError, WrongSchema."""
    with closing(Quotes(settings.database_url, 1)) as store:
        store.ready()
        found = People(store).quotes_of(who)
        if not found:
            return _nobody(who)
        return _erased(People(store), found, settings, sure=sure)


def retain(settings: Settings, *, sure: bool) -> int:
    """Erase the people of quotes that have been quiet for longer than the setting says. Raises SQLAlchemyError, WrongSchema."""
    if settings.retention_months is None:
        return refuse(f"How long people's data is kept is not set: set {variable('retention_months')}.")
    limit = months_before(settings.day(), settings.retention_months)
    with closing(Quotes(settings.database_url, 1)) as store:
        store.ready()
        found = People(store).quiet_since(limit.isoformat())
        if not found:
            return say(f"Every quote that names someone has lived on or after {limit}.")
        return _erased(People(store), found, settings, sure=sure)


def months_before(day: date, months: int) -> date:
    """The day so many months before; the last of a month where that month is shorter."""
    year, month = divmod(day.year * 12 + day.month - 1 - months, 12)
    for last in (day.day, 30, 29, 28):
        try:
            return date(year, month + 1, last)
        except ValueError:
            continue
    raise AssertionError(day)


def _erased(people: People, found: Sequence[Found], settings: Settings, *, sure: bool) -> int:
    lines = [f"{kept.number} revision {kept.revision}, last used {last_day}" for kept, last_day in found]
    if not sure:
        return say("\n".join([*lines, f"{len(found)} quotes would be erased of names and notes; say --yes to do it. {LEFT}"]))
    people.erase(found, settings.day().isoformat())
    return say("\n".join([*lines, f"{len(found)} quotes erased of names and notes; their numbers stay. {LEFT}"]))


def _nobody(who: str) -> int:
    return refuse(f"No quote is of a customer with the name or address {who!r}.")

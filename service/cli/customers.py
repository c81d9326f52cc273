"""`customers export WHO`, `customers erase WHO`, `customers retain`: exporting and erasing personal data."""

from __future__ import annotations

import sys
from calendar import monthrange
from collections import Counter
from collections.abc import Callable
from contextlib import closing
from datetime import date

from service.cli.out import confirm, refuse, say
from service.encoding import json
from service.settings import Settings, variable
from service.storage import Quotes
from service.storage.customers import CustomerData, Customers

LEFT = "Earlier backups still hold the data, and so do the freed pages of a PostgreSQL server until they are reused."
UNSWEPT = "Other processes had the database file open, so its free pages may still hold what was erased: run the command again with the service stopped."
ROUNDS = 3  # repeated, to also erase what a worker stores from a request it had already read


def export(settings: Settings, who: str) -> int:
    """One customer's data as one JSON document. Raises SQLAlchemyError, WrongSchema."""
    with closing(Quotes(settings.database_url, 1)) as store:
        store.ready()
        customers = Customers(store)
        person = customers.find(who)
        if nobody(person):
            return _unknown(who)
        sys.stdout.write(json.write({"customer": who, **customers.export(person)}).decode() + "\n")
    return 0


def erase(settings: Settings, who: str, *, sure: bool) -> int:
    """Erase one customer; without `sure`, show what would be erased and ask. Raises Refused, SQLAlchemyError, WrongSchema."""
    with closing(Quotes(settings.database_url, 1)) as store:
        store.ready()
        customers = Customers(store)
        person = customers.find(who)
        if nobody(person):
            if sure and not customers.forget_old_pages():  # repeated, since other connections were reading during the last erasure
                say(UNSWEPT)
            return _unknown(who)
        return _erased(customers, person, settings, lambda: customers.find(who), sure=sure)


def retain(settings: Settings, *, sure: bool) -> int:
    """Erase the customers whose quotes have been inactive for longer than the configured retention, as `erase` does. Raises the same
    errors.
    """
    if settings.retention_months is None:
        return refuse(f"No retention period is set: set {variable('retention_months')}.")
    limit = months_before(settings.day(), settings.retention_months)
    with closing(Quotes(settings.database_url, 1)) as store:
        store.ready()
        customers = Customers(store)
        person = customers.inactive_since(limit.isoformat())
        if nobody(person):
            return say(f"Nothing to erase: every quote that names someone was used on or after {limit}.")
        return _erased(customers, person, settings, lambda: customers.inactive_since(limit.isoformat()), sure=sure)


def nobody(person: CustomerData) -> bool:
    """Whether nothing was found."""
    return not person.quotes and not person.elsewhere


def months_before(day: date, months: int) -> date:
    """The day this many months earlier; the last day of the month if that month is shorter."""
    year, month = divmod(day.year * 12 + day.month - 1 - months, 12)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


def _erased(customers: Customers, person: CustomerData, settings: Settings, again: Callable[[], CustomerData], *, sure: bool) -> int:
    if not sure:
        say("\n".join([*_lines(person), f"Names and notes would be erased from {_counted(person)}. {LEFT}"]))
        confirm("Erase them? This cannot be undone.", sure=sure)
    lines = []
    for _ in range(ROUNDS):
        customers.erase(person, settings.day().isoformat())
        lines += [*_lines(person), f"Names and notes erased from {_counted(person)}; the numbers stay."]
        person = again()
        if nobody(person):
            break
    else:
        lines.append("More data arrived meanwhile: run the command again when the service is quiet.")
    if not customers.forget_old_pages():
        lines.append(UNSWEPT)
    return say("\n".join([*lines, LEFT]))


def _lines(person: CustomerData) -> list[str]:
    lines = [f"{kept.number} revision {kept.revision}, last used {last_day}" for kept, last_day in person.quotes]
    many = Counter(each.place.table.name for each in person.elsewhere)
    return [*lines, *(f"{count} of {name}" for name, count in sorted(many.items()))]


def _counted(person: CustomerData) -> str:
    quotes = f"{len(person.quotes)} quotes"
    return f"{quotes} and {len(person.elsewhere)} entries elsewhere" if person.elsewhere else quotes


def _unknown(who: str) -> int:
    return refuse(f"There is no quote for a customer with the name or address {who!r}, and no other record of one.")

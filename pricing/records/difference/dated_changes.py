"""Changes due to the day of issue: dates, prices and tables in force, the shop's own particulars."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from pricing.records.difference.changes import Change, both, code_of, what
from pricing.values import Count, Text, Value

Json = dict[str, Any]
DAYS = ("issued_on", "valid_until")
TEXTS = ("currency", "price_list")
PROVENANCE = ("priced_on", "catalogue_edition", "engine")
VERSIONS = ("catalogue", "price_table")  # checksums, which mean nothing to people


def dated_changes(before: Json, after: Json) -> Iterator[Change]:
    """Every change of date, currency, price list, seller or provenance."""
    for name in (*DAYS, *TEXTS):
        yield from _text(before, after, name, f"/{name}", quiet=False)
    if before["lead_time_days"] != after["lead_time_days"]:
        days = both(Count(before["lead_time_days"]), Count(after["lead_time_days"]))
        yield Change("other", "/lead_time_days", what("outcome.lead_time_days"), values=days)
    if before["seller"] != after["seller"]:
        yield Change("changed", "/seller", what("outcome.seller"))
    old, new = before["provenance"], after["provenance"]
    for name in PROVENANCE:
        yield from _text(old, new, name, f"/provenance/{name}", quiet=name == "priced_on")
    for name in VERSIONS:
        if old.get(name) != new.get(name):
            yield Change("changed", f"/provenance/{name}", what(f"outcome.{name}"))


def _text(before: Json, after: Json, name: str, pointer: str, *, quiet: bool) -> Iterator[Change]:
    one, other = before.get(name), after.get(name)
    if one != other:
        values = both(_value(one), _value(other))
        yield Change(code_of(one, other, given=False), pointer, what(f"outcome.{name}"), values=values, quiet=quiet)


def _value(text: str | None) -> Value | None:
    return None if text is None else Text(text)

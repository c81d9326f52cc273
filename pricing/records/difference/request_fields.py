"""Every field that a request fills in, named as in its changes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import MISSING, fields, is_dataclass
from typing import Any, NamedTuple

from pricing.measurement.assembly import Measurement, QuoteRequest
from pricing.records.difference.changes import what
from pricing.records.difference.request_changes import (
    COMPARED_ELSEWHERE,
    PERSONAL,
    SENT_AS,
    SENT_AS_OF,
    UNNAMED,
    Path,
    listed,
    name_of,
    value_of,
)
from pricing.values import Count, Listing, Phrase, Text, Value, phrase


class Given(NamedTuple):
    """A field that is filled in: its JSON Pointer, its name (from outside inward), and its value."""

    pointer: str
    what: Listing
    value: Value


def given(request: QuoteRequest) -> Iterator[Given]:
    """The fields of a request and of its assemblies, without those that have their default."""
    yield from _fields(request, "", ())
    for place, each in enumerate(request.assemblies):
        yield from _fields(each, f"/assemblies/{place}", ())


def _fields(part: Any, at: str, path: Path) -> Iterator[Given]:
    kind = type(part).__name__
    for field in fields(part):
        name, value = field.name, getattr(part, field.name)
        place = f"{at}/{SENT_AS_OF.get((kind, name)) or SENT_AS.get(name, name)}"
        usual = (
            field.default if field.default is not MISSING else field.default_factory() if field.default_factory is not MISSING else MISSING
        )
        if name in COMPARED_ELSEWHERE.get(kind, ()) or value is None or value in (usual, ""):
            continue
        if isinstance(part, Measurement) and name == "readings":
            yield Given(place, what("asked.readings"), listed(part))
        elif isinstance(value, tuple):
            for number, each in enumerate(value):
                yield from _fields(each, f"{place}/{number}", (*path, phrase(f"asked.{name}", n=Count(number + 1))))
        elif is_dataclass(value):
            yield from _fields(value, place, path if name in UNNAMED else (*path, Phrase(name_of(kind, name))))
        else:
            yield Given(place, what(*path, name_of(kind, name)), Text(value) if (kind, name) in PERSONAL else value_of(kind, name, value))

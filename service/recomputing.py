"""A stored quote made again from its request, its tables and its day, and what comes out otherwise, place by place."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

from pricing.quote import NOT_ON_SHELF
from service.bodies import decoded
from service.catalogues import Catalogues
from service.schemas import read_request
from service.storage import Edition
from service.storage.reading import Kept

# What an issue says of the one before, what it says of the day's shelf and of an erasure: none is of the assemblies or their price.
ELSEWHERE = frozenset({"supersedes", "difference", "cutting_plan", "erased_on"})

# What quotes of earlier releases do not tell: no number of theirs came out otherwise for it.
TOLD_SINCE = frozenset({"price", "family", "attachment", "body"})


def recomputed(kept: Kept, catalogues: Catalogues) -> dict[str, Any]:
    """The engine's document of that request, tables and day. Raises NotKept; Problem where the request can no longer be read."""
    day = date.fromisoformat(kept.document["provenance"]["priced_on"])
    engine = catalogues.of(Edition(kept.catalogue_version, kept.price_version))
    return engine.quote(read_request(decoded(kept.request), engine.price_lists(day)), day)


def differences(stored: dict[str, Any], again: dict[str, Any]) -> Iterator[str]:
    """One line for each place, a JSON Pointer, where the documents differ."""
    yield from _differ(_of_the_tables(stored), _of_the_tables(again), "")


def _of_the_tables(document: dict[str, Any]) -> dict[str, Any]:
    kept = {name: value for name, value in document.items() if name not in ELSEWHERE}
    if "findings" in kept:
        kept["findings"] = [each for each in kept["findings"] if each["code"] != NOT_ON_SHELF]
    return kept


def _differ(one: Any, other: Any, at: str) -> Iterator[str]:
    if isinstance(one, dict) and isinstance(other, dict):
        for name in [*one, *(name for name in other if name not in one and name not in TOLD_SINCE)]:
            yield from _differ(one.get(name), other.get(name), f"{at}/{name}")
    elif isinstance(one, list) and isinstance(other, list) and len(one) == len(other):
        for place, (left, right) in enumerate(zip(one, other, strict=True)):
            yield from _differ(left, right, f"{at}/{place}")
    elif one != other:
        yield f"{at}: was {_short(one)}, comes out {_short(other)}"


def _short(value: Any) -> str:
    text = repr(value)
    return text if len(text) <= 80 else f"{text[:77]}..."

"""The fast response validator is no weaker than the explaining one: what breaks the contract for one breaks it for the other."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from random import Random
from typing import Any

import pytest
from flask.testing import FlaskClient

from tests.counts import some
from tests.service.contract import judge_of, validator

STRANGE = [None, True, -1, 0.5, "", "x", "2026-13-45", "12 in", [], [None], {}, {"x": 1}]


def places(value: Any, above: Any = None, at: Any = None) -> Iterator[tuple[Any, Any]]:
    """Each member of what a JSON value holds, as its holder and its name or number there."""
    if above is not None:
        yield above, at
    for name, inner in value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ():
        yield from places(inner, value, name)


def changed(value: Any, rng: Random) -> Any:
    """A copy with one member taken out, put in twice, named otherwise or replaced by something strange."""
    made = copy.deepcopy(value)
    holder, at = rng.choice(list(places(made)))
    if rng.random() < 0.3:
        del holder[at]
    elif isinstance(holder, dict) and rng.random() < 0.3:
        holder[f"{at}x"] = holder.pop(at)
    else:
        holder[at] = rng.choice(STRANGE)
    return made


@pytest.fixture
def replies(client: FlaskClient, demo: dict[str, Any]) -> dict[str, Any]:
    one = {**demo, "assemblies": demo["assemblies"][:1]}
    wrong = {"assemblies": [{"tag": 1}]}
    return {
        "Preview": client.post("/v1/quotes/preview", json=one).json,
        "Quote": client.post("/v1/quotes", json=one).json,
        "Problem": client.post("/v1/quotes", json=wrong).json,
    }


@pytest.mark.parametrize("name", ["Preview", "Quote", "Problem"])
def test_what_the_one_refuses_the_other_refuses(replies: dict[str, Any], name: str) -> None:
    slow, by, rng = validator(name), judge_of(name), Random(name)
    assert slow.is_valid(replies[name])
    assert by.complaints(replies[name]) == []
    refused = [each for each in (changed(replies[name], rng) for _ in range(some(40, 12))) if not slow.is_valid(each)]
    assert len(refused) > some(20, 6)
    for each in refused:
        assert by.complaints(each)

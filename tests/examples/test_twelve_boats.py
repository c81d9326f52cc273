"""Twelve boats as careful owners send them, and the same boats with something changed that a rigger would not cut."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

import pytest

from pricing.document import rendered
from pricing.quote import make_quote
from service.http.problems import Problem
from service.schemas import read_request
from tests.counts import some_of
from tests.plain_yaml import read_yaml

from .twelve_boats import BOATS, DAY, quoted, shop

HERE = Path(__file__).parent
EXPECTED = read_yaml((HERE / "boats" / "expected.yaml").read_text(encoding="utf-8"))
AWKWARD = read_yaml((HERE / "awkward.yaml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("boat", BOATS, ids=lambda boat: boat.stem)
def test_a_careful_owners_boat_comes_out_as_a_rigger_expects(boat: Path):
    wanted = EXPECTED[boat.stem]
    assert {each["tag"]: each["readiness"] for each in quoted(boat)["assemblies"] if each["readiness"] != "ready_to_cut"} == {
        tag: readiness for readiness in ("confirm", "hold") for tag in wanted.get(readiness, {})
    }


def test_there_are_twelve_boats_and_each_has_a_riggers_word():
    assert [boat.stem for boat in BOATS] == sorted(EXPECTED)
    assert len(BOATS) == 12


def changed(case: dict[str, Any]) -> dict[str, Any]:
    """The boat's request with the case's changes."""
    request: dict[str, Any] = copy.deepcopy(json.loads((HERE / "boats" / f"{case['boat']}.json").read_bytes()))
    roots = {each["tag"]: each for each in request["assemblies"]} | {"boat": request["boat"], "request": request}
    for path, value in case.get("set", {}).items():
        *way, last = path.split("/")
        _reach(roots, way)[_key(last)] = copy.deepcopy(value)
    for path in case.get("drop", []):
        *way, last = path.split("/")
        del _reach(roots, way)[_key(last)]
    return request


def _key(name: str) -> Any:
    return int(name) if name.isdecimal() else name


def _reach(root: Any, way: list[str]) -> Any:
    for name in way:
        root = root[_key(name)]
    return root


def comes_out(case: dict[str, Any]) -> tuple[str, set[str]]:
    """Readiness of the assembly looked at (or refused), and the findings that stop or ask."""
    catalogue, prices = shop()
    try:
        request = read_request(changed(case), prices.at(DAY).price_lists())
    except Problem:
        return "refused", set()
    quote = rendered(make_quote(request, catalogue, prices, DAY))
    (found,) = [each for each in quote["assemblies"] if each["tag"] == case["at"]]
    return found["readiness"].removesuffix("_to_cut"), pressing(found)


def pressing(assembly: dict[str, Any]) -> set[str]:
    """Codes of its findings that stop or ask."""
    return {each["code"] for each in assembly["findings"] if each["severity"] != "note"}


@pytest.mark.parametrize("case", some_of(AWKWARD, 42), ids=lambda case: f"{case['boat']} {case['at']}: {case['why']}")
def test_what_a_rigger_would_not_cut_is_not_ready(case: dict[str, Any]):
    came, codes = comes_out(case)
    before = {each["tag"]: pressing(each) for each in quoted(HERE / "boats" / f"{case['boat']}.json")["assemblies"]}
    assert came == case["comes"]
    assert came in ("ready", "refused") or codes - before[case["at"]], "the change itself brought no finding"

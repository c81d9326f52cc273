"""The drawn rig: each place is where its wire is drawn, and no two are closer than a finger needs."""

from __future__ import annotations

import re
from itertools import combinations, pairwise
from math import dist, hypot
from typing import Any

import pytest

from service.web_form.ask_place import OTHER
from service.web_form.description import describe
from tests.engine.shop import demo

FINGER = 44  # CSS px, as wide as the drawing's units on the narrowest telephone (WCAG 2.2, 2.5.5: 44 by 44)


@pytest.fixture(scope="module")
def place() -> dict[str, Any]:
    form = describe(demo()[0], "en")
    return next(each for each in form["questions"] if each["path"] == "place")


def test_every_wire_named_is_on_the_drawing_and_the_others_beside_it(place: dict[str, Any]) -> None:
    assert [each["value"] for each in place["choices"] if "spot" not in each] == [OTHER]
    assert len({tuple(each["spot"]) for each in place["choices"] if "spot" in each}) == 18  # seven pairs, four stays


def test_no_two_places_are_closer_than_a_finger_needs(place: dict[str, Any]) -> None:
    spots = {each["value"]: each["spot"] for each in place["choices"] if "spot" in each}
    assert [
        (one, other)
        for (one, here), (other, there) in combinations(spots.items(), 2)
        if max(abs(here[0] - there[0]), abs(here[1] - there[1])) < FINGER
    ] == []
    _, _, width, height = place["map"]["view_box"]
    assert all(FINGER / 2 <= x <= width - FINGER / 2 and FINGER / 2 <= y <= height - FINGER / 2 for x, y in spots.values())


def test_each_place_is_on_its_own_wire_and_nearest_to_it(place: dict[str, Any]) -> None:
    lines = {each["part"]: points(each["d"]) for each in place["map"]["shapes"] if "part" in each}
    for number, each in enumerate(place["choices"]):
        if "spot" in each:
            away = {other: gap(each["spot"], line) for other, line in lines.items()}
            assert away[number] == min(away.values()) <= 2, each["value"]


def test_port_is_on_the_left_as_one_looks_forward(place: dict[str, Any]) -> None:
    for each in place["choices"]:
        side = each.get("answers", {}).get("side")
        if side in ("port", "starboard"):
            assert (each["spot"][0] < 144) == (side == "port"), each["value"]


def test_a_client_can_build_it_of_the_closed_list(place: dict[str, Any]) -> None:
    for each in place["map"]["shapes"]:
        assert each["shape"] in ("path", "text")
        assert re.fullmatch(r"[MLACZ0-9 .-]+", each.get("d", "M")), each


def test_its_words_are_german_in_german() -> None:
    drawn = next(each["map"] for each in describe(demo()[0], "de")["questions"] if "map" in each)
    assert [each["text"] for each in drawn["shapes"] if "text" in each] == ["Backbord", "Steuerbord", "Bug", "Heck"]
    assert drawn["says"].startswith("Ein Rigg")


def points(data: str) -> list[tuple[float, float]]:
    numbers = [float(each) for each in re.findall(r"-?[\d.]+", data)]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def gap(spot: list[float], line: list[tuple[float, float]]) -> float:
    """How far a place is from a line of straight pieces."""
    return min(_gap(spot, start, end) for start, end in pairwise(line))


def _gap(spot: list[float], start: tuple[float, float], end: tuple[float, float]) -> float:
    along = ((spot[0] - start[0]) * (end[0] - start[0]) + (spot[1] - start[1]) * (end[1] - start[1])) / dist(start, end) ** 2
    at = min(max(along, 0), 1)
    return hypot(spot[0] - start[0] - at * (end[0] - start[0]), spot[1] - start[1] - at * (end[1] - start[1]))

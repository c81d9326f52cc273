"""Sizes of the boat's own fittings, quantities, slots and kept bodies that do not go together are queried, each at its bound."""

from __future__ import annotations

import csv
from dataclasses import replace
from decimal import Decimal

import pytest

from pricing.catalogue import DEMO_FOLDER
from pricing.measurement.assembly import BoatFitting, End, OwnTurnbuckle, Stop, WireSpec

from .shop import ask, build, codes, flat, shroud, turnbuckle

D = Decimal
FIVE = WireSpec("1x19", D(5), "5 mm", "316")
FORK, EYE = End("fork", "swage", pin=D(10)), End("eye", "swage", pin=D(10))


def asked_of(upper: End, **more: object) -> list[str]:
    got = build(shroud(upper, EYE, FIVE, flat(9000), **more))
    return codes(got, "ask") + codes(got, "stop")


def inside_of_the_fork() -> Decimal:
    """As terminals.csv has it."""
    with (DEMO_FOLDER / "terminals.csv").open(encoding="utf-8") as file:
        rows = csv.DictReader(file)
        row = next(each for each in rows if each["family"] == "fork" and each["pin"] == "10 mm" and "5 mm" in each["wire_sizes"].split(";"))
    return D(row["jaw"].removesuffix(" mm"))


def plate(**sizes: str) -> End:
    given = {name: D(text) for name, text in sizes.items()}
    return replace(FORK, boat_fitting=BoatFitting("plate", hole=D("10.2"), pin_from="assembly", **given))


def test_a_width_of_a_plate_is_not_dropped_in_silence() -> None:
    assert "boat-size-unused" in asked_of(plate(thickness="8", width="12"))
    assert "boat-size-unused" not in asked_of(plate(thickness="8"))


@pytest.mark.parametrize(("share", "loose"), [("0.334", False), ("0.333", True)])
def test_a_plate_thinner_than_a_third_of_the_jaw_is_asked_about(share: str, loose: bool) -> None:
    """Common practice, no source: spacers fill what is left, or the pin bends."""
    inside = inside_of_the_fork()
    assert inside > 0
    assert ("loose-between-cheeks" in asked_of(plate(thickness=str(inside * D(share))))) is loose


@pytest.mark.parametrize(("quantity", "unusual"), [(8, False), (9, True), (999, True)])
def test_more_wires_than_a_boat_has_are_asked_about(quantity: int, unusual: bool) -> None:
    assert ("quantity-unusual" in asked_of(FORK, quantity=quantity)) is unusual


@pytest.mark.parametrize(("slot", "narrow"), [("4.9", True), ("5", True), ("5.5", False)])
def test_a_slot_must_let_the_wire_in(slot: str, narrow: bool) -> None:
    stop = Stop(position=D(4000), from_end="upper", bears_toward="upper", slot=D(slot))
    assert ("stop-slot-narrow" in asked_of(FORK, stops=(stop,))) is narrow


@pytest.mark.parametrize(("starboard", "differ"), [("150", False), ("151", False), ("152.1", True)])
def test_a_pairs_kept_turnbuckles_are_compared(starboard: str, differ: bool) -> None:
    def one(side: str, body: str) -> object:
        kept = turnbuckle(reuse=True, dimensions=OwnTurnbuckle(body=D(body)))
        made = shroud(FORK, End("stud", "swage"), FIVE, flat(9000), role="cap_shroud", side=side, turnbuckle=kept)
        return replace(made, tag=side)

    made = ask(one("port", "150"), one("starboard", starboard))
    assert any("pair-fittings-differ" in codes(each, "ask") for each in made["assemblies"]) is differ

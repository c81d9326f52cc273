"""Dimensions of kept and old parts that a rigger would not believe: impossible ones stop the assembly, likely slips of a digit or unit
are queried.

The demo catalogue's look-alikes, from its CSV files: body 4 in, screw's run-out 1 13/64 in, toggle 1 1/2 in, stud's thread 2 1/2 in, compression
fork's reach 1 11/16 in. Half to twice of each is believed (common practice, no source).
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from pricing.measurement.assembly import End, Link, OldTurnbuckle, OwnLink, OwnTerminal, OwnTurnbuckle

from .shop import FORK, STRAND, build, codes, finding_of, flat, shroud, size, stud, turnbuckle

D = Decimal
PIN = size("3/8 in")
FAR, CANNOT, TWICE = "dimension-implausible", "dimension-impossible", "link-said-twice"


def to_stud(**old: Any) -> dict[str, Any]:
    """A reading that stopped at the stud; the turnbuckle is replaced. 1 1/8 in of the stud shows."""
    hung = turnbuckle(reuse=False, hand="right", old=OldTurnbuckle(**{name: D(mm) for name, mm in old.items()}))
    return build(shroud(FORK, stud(), STRAND, flat(9144, includes_turnbuckle=False), turnbuckle=hung))


def keeping(kind: str = "open", **sizes: str) -> dict[str, Any]:
    own = OwnTurnbuckle(**{name: D(mm) for name, mm in sizes.items()}, within=D("0.2"))
    hung = replace(turnbuckle(hand="right", dimensions=own), body=kind)
    return build(shroud(FORK, stud(), STRAND, flat(9144, includes_turnbuckle=True), turnbuckle=hung))


def linked(own: dict[str, str] | None = None, **given: Any) -> dict[str, Any]:
    dimensions = None if own is None else OwnLink(**{name: D(mm) for name, mm in own.items()}, within=D("0.2"))
    link = Link("toggle", PIN, dimensions=dimensions, **given)
    return build(shroud(replace(FORK, links=(link,)), FORK, STRAND, flat(9144)))


def fork(**sizes: str) -> dict[str, Any]:
    own = OwnTerminal(**{name: D(mm) for name, mm in sizes.items()}, within=D("0.2"))
    return build(shroud(End("fork", "compression", pin=PIN, reuse=True, dimensions=own), FORK, STRAND, flat(9144)))


def test_an_old_stud_shows_no_more_thread_than_it_has() -> None:
    """28.575 mm showed."""
    stopped = to_stud(stud_thread_length="28.5", body="101.6", runout="30")
    assert finding_of(stopped, "exposed-beyond-screw")["pointer"].endswith("/turnbuckle/old/stud_thread_length")
    assert stopped["readiness"] == "hold"
    assert "exposed-beyond-screw" not in codes(to_stud(stud_thread_length="28.6", body="101.6", runout="30"))


def test_an_old_stud_does_not_reach_further_inside_than_its_body_is_long() -> None:
    """Of 80 mm 51.425 mm were inside."""
    assert "screws-meet" in codes(to_stud(stud_thread_length="80", body="51.4", runout="30"), "stop")
    assert "screws-meet" not in codes(to_stud(stud_thread_length="80", body="51.5", runout="30"))


@pytest.mark.parametrize(
    ("old", "asked"),
    [
        ({"body": "50.7"}, ["body"]),  # half of 101.6 is 50.8
        ({"body": "50.9"}, []),
        ({"body": "203.1"}, []),
        ({"body": "203.3"}, ["body"]),
        ({"runout": "300"}, ["runout"]),
        ({"stud_thread_length": "128"}, ["stud_thread_length"]),  # twice 63.5 is 127
        ({"stud_thread_length": "60", "body": "101.6", "runout": "30"}, []),
    ],
)
def test_an_old_turnbuckle_far_from_the_new_one_is_asked_about(old: dict[str, str], asked: list[str]) -> None:
    got = to_stud(**{"stud_thread_length": "63.5", **old})
    assert [each["pointer"].rsplit("/", 1)[1] for each in got["findings"] if each["code"] == FAR] == asked


@pytest.mark.parametrize(
    "sizes", [{"body": "355.6"}, {"body": "2540"}, {"runout": "300"}, {"runout": "1"}, {"body": "101.6", "runout": "30.56"}]
)
def test_a_kept_turnbuckle_of_another_size_is_asked_about(sizes: dict[str, str]) -> None:
    believed = sizes == {"body": "101.6", "runout": "30.56"}
    assert (FAR in codes(keeping(**sizes), "ask")) is not believed


def test_a_tubular_turnbuckle_without_a_locknut_is_locked_by_nothing() -> None:
    bare = keeping("tubular", locknut="0", body="111.125", runout="30.56")
    assert finding_of(bare, FAR)["wording"] == "no_locknut_but"
    assert not any("locknut" in each["name"].lower() for each in bare["parts"])
    locked = keeping("tubular", locknut="5.6", body="111.125", runout="30.56")
    assert FAR not in codes(locked)
    assert any("locknut" in each["name"].lower() for each in locked["parts"])


@pytest.mark.parametrize(
    ("own", "given", "code"),
    [
        ({"length": "5"}, {"change": "kept", "in_reading": True}, CANNOT),
        ({"length": "9.525"}, {"change": "kept", "in_reading": True}, CANNOT),
        ({"length": "38.1", "jaw": "18", "jaw_over": "18"}, {"change": "kept", "in_reading": True}, CANNOT),
        ({"length": "400"}, {"change": "kept", "in_reading": True}, FAR),
        ({"length": "41", "jaw": "12", "jaw_over": "18"}, {"change": "kept", "in_reading": True}, None),
        (None, {"change": "replaced", "in_reading": False, "old_length": D(5)}, CANNOT),
        (None, {"change": "replaced", "in_reading": False, "old_length": D(900)}, FAR),
        (None, {"change": "replaced", "in_reading": False, "old_length": D(40)}, None),
        (None, {"change": "replaced", "in_reading": True, "reuse": True}, TWICE),
        (None, {"change": "left_away", "in_reading": True, "reuse": True}, TWICE),
        (None, {"change": "added", "old_length": D(40)}, TWICE),
        ({"length": "38"}, {"change": "kept", "in_reading": True, "old_length": D(41)}, TWICE),
        ({"length": "38"}, {"change": "kept", "in_reading": True, "old_length": D(38)}, None),
    ],
)
def test_an_impossible_link_or_one_given_twice(own: dict[str, str] | None, given: dict[str, Any], code: str | None) -> None:
    got = codes(linked(own, **given))
    assert [each for each in got if each in (FAR, CANNOT, TWICE)] == ([] if code is None else [code])


def test_a_used_link_that_is_added_counts_and_is_to_be_measured() -> None:
    """It was not on the old boat: its length is taken off and was never added."""
    assert "kept-part-unmeasured" in codes(linked(change="added", reuse=True), "ask")
    assert "reused-as-catalogue" not in codes(linked(change="added", reuse=True))
    assert "kept-part-unmeasured" in codes(linked(change="added", reuse=True, old_length=D(40)), "ask")
    measured = linked({"length": "38.1"}, change="added", reuse=True)
    assert "kept-part-unmeasured" not in codes(measured)


def test_a_kept_terminal_that_cannot_be_or_is_a_digit_off() -> None:
    assert CANNOT in codes(fork(reach="43", depth="43.1"), "stop")
    assert FAR in codes(fork(reach="4.3", depth="2"), "ask")
    assert FAR in codes(fork(reach="430", depth="20"), "ask")
    assert not {CANNOT, FAR} & set(codes(fork(reach="43", depth="20")))

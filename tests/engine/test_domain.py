"""Worked examples of the trade, and every datum that a length can be measured to. Sizes are those of the CSV rows named; 1 in = 25.4 mm."""

from __future__ import annotations

import json
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from pricing.fittings.thimble_eye import loop_length
from pricing.geometry.turnbuckle import Exposed, ScrewGeometry, TurnbuckleGeometry
from pricing.measurement.assembly import Assembly, End, Link, OwnLink, OwnTurnbuckle
from service.schemas import read_request
from tests.counts import some

from .shop import FORK, INCH, SHACKLE, STRAND, TOGGLE, ask, build, codes, finding_of, flat, shroud, size, step, stud, summed, turnbuckle

D = Decimal


def cut(assembly: Assembly) -> Decimal:
    return summed(build(assembly))


def target(assembly: Assembly) -> Decimal:
    return D(build(assembly)["target_length"]["mm"])


def test_a_toggle_of_an_inch_and_a_half_on_a_three_eighths_pin_lengthens_a_fork_by_an_inch_and_an_eighth():
    plain = shroud(FORK, FORK, STRAND, flat(9000))
    linked = shroud(FORK, replace(FORK, links=(TOGGLE,)), STRAND, flat(9000, includes_links=True))
    left_out = replace(linked, measurement=replace(linked.measurement, includes_links=False))
    assert cut(plain) - cut(linked) == D("1.125") * INCH
    assert target(left_out) - target(linked) == D("1.125") * INCH
    assert cut(left_out) == cut(plain)


def test_the_published_thimble_needs_a_loop_of_104_19_mm():
    """r 9.5, d 4.76, a 32 mm (worked example of the trade's guide)."""
    assert loop_length(9.5, 4.76, 32) == pytest.approx(104.19, abs=0.005)


def test_the_worked_turnbuckle_has_five_sixteenths_of_take_up_and_not_an_inch_and_a_quarter():
    """T 2.5, body 4, exposed 11/16 and 5/8 in: the screws are 4 − 1.8125 − 1.875 = 0.3125 in apart inside, so that is all."""
    screw = ScrewGeometry(D("2.5"), D(0), D("0.375"))
    body = TurnbuckleGeometry(D(4), screw, screw, D(0), D(1) / 24)
    at = Exposed(D(11) / 16, D(5) / 8)
    assert body.take_up(at) == D("0.3125")
    assert body.let_out(at) == 2 * (D("2.5") - D("0.375") - D("0.6875"))


def test_plain_tips_meet_before_the_threads_do():
    """The same with 1/16 in of plain tip on each screw: 0.3125 − 0.125 = 0.1875 in are left."""
    screw = ScrewGeometry(D("2.5"), D("0.0625"), D("0.375"))
    assert TurnbuckleGeometry(D(4), screw, screw, D(0), D(1) / 24).take_up(Exposed(D(11) / 16, D(5) / 8)) == D("0.1875")


def test_the_screws_of_an_upper_turnbuckle_keep_their_own_threads():
    """The stud below has 63.5 mm of thread with 50 exposed, the kept screw above 40 with 20. Engaged 13.5 and 20 in 101.6: 68.1 apart.

    Take-up 2·min(50, 20, 34.05) = 40; let-out 2·min(63.5 − 9.525 − 50, 40 − 9.525 − 20) = 7.95.
    """
    asked = turnbuckle("20", "50", at="upper", lower_end=None, upper_end="toggle", dimensions=OwnTurnbuckle(thread_length=D(40)))
    got = build(shroud(stud(), FORK, STRAND, flat(9000, includes_turnbuckle=True), turnbuckle=asked))
    assert codes(got, "stop") == []
    assert (got["turnbuckle"]["take_up"]["mm"], got["turnbuckle"]["let_out"]["mm"]) == ("40.000", "7.950")


def test_a_toggle_turned_round_on_an_eye_shows_its_other_hole_to_the_boat():
    """Its own pin goes through the eye, so the boat's goes through what was its inner hole: 10 mm, half of it 5."""
    kept = replace(TOGGLE, reuse=True, dimensions=OwnLink(inner_hole=D(10), hole=D("9.9")))
    end = replace(End("eye", "swage", pin=size("3/8 in")), links=(kept,))
    sent = shroud(FORK, end, STRAND, flat(9000, includes_links=True, lower_datum="hole_centre"))
    assert step(build(sent), "lower end read to the centre of the hole") == 5


def test_a_locknut_takes_its_height_off_the_take_up():
    """The locknut can only come down to the body: 2·(g − n), here 2·(0.5 − 0.2) = 0.6 in with room enough inside."""
    screw = ScrewGeometry(D("2.0"), D(0), D("0.375"))
    body = TurnbuckleGeometry(D(6), screw, screw, D("0.2"), D(1) / 24)
    assert body.take_up(Exposed(D("0.5"), D("0.9"))) == D("0.6")


@pytest.mark.parametrize(("per_inch", "published"), [(28, ".0714"), (24, ".0833"), (20, ".1000"), (18, ".1111")])
def test_one_turn_of_a_body_moves_both_screws_by_a_pitch(per_inch: int, published: str):
    """2/n inches: table of turnbuckle threads, to the four places that it prints."""
    screw = ScrewGeometry(D(2), D(0), D("0.25"))
    body = TurnbuckleGeometry(D(4), screw, screw, D(0), D(1) / per_inch)
    opened = D(2) / per_inch
    assert body.turns(Exposed(D("0.5"), D("0.5")), Exposed(D("0.5") + opened / 2, D("0.5") + opened / 2)) == pytest.approx(D(1))
    assert float(opened) == pytest.approx(float(published), abs=5e-5)


PIN = D("0.375") * INCH
HOLE_DATUMS = {
    "bearing": D(0), "pin_centre": PIN / 2, "pin_inside": PIN, "hole_centre": D(25) / 128 * INCH,  # hole 25/64 in
    "outer_tip": D("-0.25") * INCH,  # 1/4 in of eye or fork beyond the bearing
}  # fmt: skip


@pytest.mark.parametrize("family", ["fork", "eye", "toggle"])
@pytest.mark.parametrize("datum", sorted(HOLE_DATUMS))
def test_a_hole_measured_to_any_place_comes_to_its_bearing(family: str, datum: str):
    end = End(family, "swage", pin=size("3/8 in"))
    for name in ("upper", "lower"):
        sent = shroud(end, end, STRAND, flat(9000, **{f"{name}_datum": datum}))
        assert target(sent) - 9000 == pytest.approx(HOLE_DATUMS[datum], abs=D("0.0006"))


@pytest.mark.parametrize(("datum", "added"), [("bearing", D(0)), ("pin_centre", -PIN / 2), ("pin_outside", -PIN)])
def test_a_shackle_bears_on_the_pins_face_toward_the_wire(datum: str, added: Decimal):
    sent = shroud(FORK, replace(FORK, links=(SHACKLE,)), STRAND, flat(9000, includes_links=True, lower_datum=datum))
    assert target(sent) - 9000 == pytest.approx(added, abs=D("0.0006"))


@pytest.mark.parametrize(("datum", "added"), [("bearing", "0"), ("ball_centre", "-4.61127"), ("outer_tip", "-10.96127")])
def test_a_ball_bears_on_a_ring_behind_its_centre(datum: str, added: str):
    """BALL-SW-3-16IN: 1/2 in on an 11/32 in socket. √(0.25² − 0.171875²) = √0.0329590 = 0.181546 in = 4.61127 mm; half a ball, 6.35, more."""
    sent = shroud(FORK, End("ball", "swage"), STRAND, flat(9000, lower_datum=datum))
    assert target(sent) - 9000 == pytest.approx(D(added), abs=D("0.0006"))


def test_a_studs_plain_tip_is_not_counted():
    """STUD-SW-3-16IN-5-16UNF: 1/16 in of plain tip."""
    end = End("stud", "swage", thread="5/16-24 UNF", hand="right")
    sent = shroud(FORK, end, STRAND, flat(9000, lower_datum="stud_tip"))
    assert target(sent) == D(9000) - D("1.5875").quantize(D("0.001"), "ROUND_HALF_UP")


@pytest.mark.parametrize(
    ("datum", "end"), [("pin_outside", FORK), ("ball_centre", FORK), ("pin_centre", End("tee", "swage")), ("stud_tip", FORK)]
)
def test_a_place_that_an_end_does_not_have_is_never_converted_in_silence(datum: str, end: End):
    got = build(shroud(end, FORK, STRAND, flat(9000, upper_datum=datum)))
    assert got["readiness"] == "hold"
    assert finding_of(got, "datum-dimension-missing")["pointer"] == "/assemblies/0/measurement/upper_datum"


@pytest.mark.parametrize(("hole", "share"), [(None, 1), ("as_is", 1), ("redrilled", D("0.5"))])
def test_another_pin_changes_the_length_by_all_of_the_difference_or_half_of_it_and_is_asked(hole: str | None, share: Decimal):
    """5/16 in replaced by 3/8 in: 1.5875 mm where the boat's hole stays, half of it where it is drilled again."""
    got = build(shroud(replace(FORK, old_pin=size("5/16 in"), boat_hole=hole), FORK, STRAND, flat(9000)))
    assert D(got["target_length"]["mm"]) - 9000 == pytest.approx(share * D("1.5875"), abs=D("0.0006"))
    asked = finding_of(got, "pin-changed")
    assert (asked["severity"], asked["pointer"], got["readiness"]) == ("ask", "/assemblies/0/upper/old_pin", "confirm")
    assert asked["wording"] == (hole or "unsaid")


@pytest.mark.parametrize(
    ("hole", "old_pin", "asked"),
    [(None, None, []), ("as_is", None, []), ("redrilled", None, ["old-pin-missing"]), ("redrilled", "3/8 in", [])],
)
def test_a_hole_that_is_drilled_again_has_the_pin_asked_for_that_was_there(hole: str | None, old_pin: str | None, asked: list[str]):
    """A hole is drilled again for another pin: half of what the pin changes by is missing from the length while the old one is not known."""
    end = replace(FORK, old_pin=size(old_pin) if old_pin else None, boat_hole=hole)
    assert codes(build(shroud(end, FORK, STRAND, flat(9000, 9000))), "ask") == asked


def test_a_pin_centre_read_on_the_old_pin_takes_half_of_the_old_pin():
    """Half of 5/16 in is 3.96875, and the pin's change 1.5875 more: 5.55625."""
    got = build(shroud(replace(FORK, old_pin=size("5/16 in")), FORK, STRAND, flat(9000, upper_datum="pin_centre")))
    assert step(got, "upper end read to the centre of the pin") == D("3.969")
    assert D(got["target_length"]["mm"]) - 9000 == pytest.approx(D("5.55625"), abs=D("0.0011"))


@pytest.mark.parametrize(("links", "left_out"), [((), "124.221875"), ((TOGGLE,), "152.796875")])
def test_measured_with_or_without_its_turnbuckle_an_assembly_comes_to_the_same_target_and_cut(links: tuple[Link, ...], left_out: str):
    """Between the stud's last thread and the outermost bearing: −(2.5 − 1.125) + 4 + 1.0625 + 1.203125 = 4.890625 in = 124.221875 mm.

    A toggle beyond adds 1.125 in more: 152.796875.
    """
    end = replace(stud(), links=links)
    links_in = True if links else None
    whole = shroud(FORK, end, STRAND, flat(9000, includes_turnbuckle=True, includes_links=links_in), turnbuckle=turnbuckle())
    short = shroud(
        FORK, end, STRAND, flat(D(9000) - D(left_out), includes_turnbuckle=False, includes_links=links_in), turnbuckle=turnbuckle()
    )
    assert abs(target(whole) - target(short)) < D("0.002")
    assert abs(cut(whole) - cut(short)) < D("0.004")
    assert target(whole) == 9000


def test_what_was_left_out_is_written_screw_by_screw():
    """Upper screw, the stud: 1 1/8 − 2 1/2 = −34.925 mm; lower exposed 26.9875 mm; the sum alone would not tell them apart."""
    got = build(shroud(FORK, stud(), STRAND, flat(9000, includes_turnbuckle=False), turnbuckle=turnbuckle()))
    assert step(got, "lower stud inside the old turnbuckle") == D("-34.925")
    assert step(got, "lower outer exposed thread, old") == D("26.988")


def test_a_cut_length_on_a_tie_goes_up():
    """FORK-SW-3-16IN takes 73.819 + 7.950 − 51.079 = 30.690 at each end: 8061.430 − 61.380 = 8000.050, written 8000.1."""
    got = build(shroud(FORK, FORK, STRAND, flat("8061.43")))
    assert (summed(got), got["cut_length"]["mm"]) == (D("8000.050"), "8000.1")


@pytest.mark.parametrize("build_at", ["as_recorded", "centred"])
def test_the_setting_to_build_at_changes_the_wire_and_never_the_target(build_at: str):
    """Centred: T − E = 2.125 in; the screws would meet at g = (2·2.5 − 4)/2 = 0.5 in; 0.5 + 0.55·1.625 = 1.39375 in = 35.401 mm on both."""
    got = build(shroud(FORK, stud(), STRAND, flat(9000, includes_turnbuckle=True), turnbuckle=turnbuckle(build_at=build_at)))
    exposed = [D(got["turnbuckle"]["build_setting"][f"{which}_exposed"]["mm"]) for which in ("upper", "lower")]
    assert got["target_length"]["mm"] == "9000.000"
    assert exposed == ([D("28.575"), D("26.988")] if build_at == "as_recorded" else [D("35.401"), D("35.401")])
    turns = D(got["turnbuckle"]["turns_from_recorded"])
    assert turns == (0 if build_at == "as_recorded" else D("7.20"))  # (70.802 − 55.5625)/(2·1.058333) = 7.1998


CONTRACT = """{
  "customer": {"name": "Tern Point Sailing School", "reference": "HULL-07"},
  "boat": {"name": "Kittiwake", "length_overall": "8.4 m"},
  "display_units": "imperial",
  "price_list": "retail",
  "assemblies": [
    {"tag": "CAP-P", "role": "cap_shroud", "side": "port", "quantity": 1,
     "wire": {"construction": "1x19", "material": "316", "diameter": "3/16 in"},
     "upper": {"terminal": "tee", "attachment": "swage"},
     "lower": {"terminal": "stud", "attachment": "swage", "thread": "3/8-24 UNF", "hand": "right"},
     "turnbuckle": {"body": "open", "thread": "3/8-24 UNF", "lower_end": "toggle", "pin": "3/8 in", "reuse": true,
                    "setting": {"upper_exposed": "11/16 in", "lower_exposed": "5/8 in", "recorded_with": "caliper"}},
     "measurement": {"readings": ["31 ft 4 5/16 in", "31 ft 4 5/16 in"], "includes_turnbuckle": true, "support": "flat", "rig_setting": "everyday",
                     "upper_datum": "bearing", "lower_datum": "bearing", "temperature": "18 degC"}}
  ]
}"""


def test_the_contracts_example_comes_to_its_printed_target_and_its_kept_turnbuckle_is_asked_for():
    """Invented boat of the contract, which prints 9558.42 mm: reading 376.3125 in = 9558.3375; 2 K below 20: +(16.0 − 11.6)e-6 · L · 2 = 0.084."""
    request = read_request(json.loads(CONTRACT), ("retail",))
    (got,) = ask(*request.assemblies, boat=request.boat, display_units="imperial")["assemblies"]
    assert abs(D(got["target_length"]["mm"]) - D("9558.42")) <= D("0.01")
    assert got["target_length"]["text"] == "31 ft 4 5/16 in"
    asked = "kept-part-unmeasured"  # its turnbuckle is kept, and was not measured
    assert (got["readiness"], asked in codes(got, "ask"), codes(got, "stop")) == ("confirm", True, [])
    assert got["turnbuckle"]["take_up"]["mm"] == "7.938"  # 0.3125 in, as in the worked turnbuckle above


def test_a_length_is_rounded_once_for_the_eye_and_not_first_to_its_millimetres():
    """MTO LS-100 rev 16 §3, never round twice. 5/64 in is 2.5/32: half up 3/32; by way of 1.984 mm (2.4995/32) it would be 1/16."""
    reading = D(100) * INCH + D(5) / 64 * INCH
    got = ask(shroud(FORK, FORK, STRAND, flat(reading)), display_units="imperial")["assemblies"][0]
    assert got["measured_length"] == {"mm": "2541.984", "text": "8 ft 4 3/32 in"}
    # cut = reading − 2·(73.819 + 7.950) + 2·51.079, each term to 0.001 mm
    wanted = (D("2541.984") - 2 * (D("73.819") + D("7.950")) + 2 * D("51.079")) * 32 / INCH
    assert got["cut_length"]["text"] == imperial(wanted)


def imperial(ticks: Decimal) -> str:
    """Feet, inches and 1/32 from 32nds of an inch, half up, by whole numbers."""
    whole = int(ticks + D("0.5"))
    feet, rest = divmod(whole, 12 * 32)
    inches, part = divmod(rest, 32)
    return f"{feet} ft {inches} {Fraction(part, 32)} in" if part else f"{feet} ft {inches} in"


def test_the_cut_length_in_words_is_rounded_from_its_sum_and_not_from_its_tenths():
    """A sum within 0.05 mm of a 64th shows it: of eight hundred readings 0.1 mm apart, every text is that of the derivation's own sum."""
    for tenths in range(some(800, 200)):
        got = ask(shroud(FORK, FORK, STRAND, flat(9000 + D(tenths) / 10 + D("0.04"))), display_units="imperial")["assemblies"][0]
        assert got["cut_length"]["text"] == imperial(summed(got) * 32 / INCH)

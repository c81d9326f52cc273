"""A rigger's awkward boats: what must be asked, what must be refused, and a few lengths by hand."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from pricing.measurement.assembly import (
    Boat,
    DeflectionTest,
    End,
    Link,
    OldTurnbuckle,
    OwnLink,
    OwnTerminal,
    OwnTurnbuckle,
    Setting,
    Turnbuckle,
    WireSpec,
)

from .inverse import mm as millimetres
from .inverse import row_of
from .shop import ask, assumed, build, codes, finding_of, flat, shroud, size, summed, wire

D = Decimal
STRAND, ROPE = wire(row_of("WIRE-1X19-316-3-16IN")), wire(row_of("WIRE-7X19-316-3-16IN"))
FORK = End("fork", "swage", pin=size("3/8 in"))
STUD = End("stud", "swage", thread="3/8-24 UNF", hand="right")
BARE = End("none", leave=D(300))


def stay(role: str, side: str | None, reading: int | str, tag: str = "A", **more):
    return shroud(FORK, FORK, STRAND, flat(reading), role=role, side=side, tag=tag, **more)


@pytest.mark.parametrize("kind", ["toggle", "shackle"])
@pytest.mark.parametrize("end", [End("tee", "swage"), End("ball", "swage"), STUD], ids=["tee", "ball", "stud"])
def test_nothing_hangs_on_an_end_that_has_no_hole(kind: str, end: End):
    linked = replace(end, links=(Link(kind, size("3/8 in")),))
    got = build(shroud(FORK, linked, STRAND, flat(9000, includes_links=True)))
    assert got["readiness"] == "hold"
    assert any(each["pointer"].startswith("/assemblies/0/lower/links/0") for each in got["findings"] if each["severity"] == "stop")


def test_a_furled_stay_asks_whether_its_lower_terminal_passes_the_foil():
    assert codes(build(stay("forestay", "centre", 9000, furled=True)), "ask") == ["furled-stay"]


def test_a_furled_stay_left_bare_below_has_no_terminal_to_pass_the_foil():
    got = build(shroud(FORK, BARE, STRAND, flat(9000), role="forestay", side="centre", furled=True))
    assert codes(got, "ask") == []


def test_an_end_left_bare_has_a_cut_length_and_no_finished_one():
    """9000 − 73.819 − 7.950 (fork) + 51.079 + 300 = 9269.310."""
    quote = ask(shroud(FORK, BARE, STRAND, flat(9000)))
    (got,) = quote["assemblies"]
    assert (got["target_length"], got["cut_length"]["mm"], codes(got)) == (None, "9269.3", ["end-left-bare"])
    assert assumed(quote) == ["boat-fitting-not-said"]


@pytest.mark.parametrize(("starboard", "asked"), [("9010", []), ("9010.1", ["pair-differs"]), ("8990", []), ("8989.9", ["pair-differs"])])
def test_a_pair_may_differ_by_the_shops_ten_millimetres(starboard: str, asked: list[str]):
    both = ask(stay("cap_shroud", "port", 9000, "P"), stay("cap_shroud", "starboard", starboard, "S"))["assemblies"]
    assert [codes(each, "ask") for each in both] == [asked, asked]


def test_one_side_alone_and_one_side_twice_are_reported():
    quote = ask(stay("cap_shroud", "port", 9000))
    assert codes(quote["assemblies"][0]) == ["partner-missing"]
    assert assumed(quote) == ["boat-fitting-not-said"]
    twice = ask(stay("cap_shroud", "port", 9000, "P"), stay("cap_shroud", "port", 9000, "Q"))["assemblies"]
    assert [codes(each, "ask") for each in twice] == [["role-repeats"], ["role-repeats"]]


def test_a_cap_shroud_shorter_than_its_lower_is_asked_about_at_both():
    cap, lower = ask(stay("cap_shroud", "port", 9000, "C"), stay("lower_shroud", "port", 9001, "L"))["assemblies"]
    assert "length-order" in codes(cap, "ask")
    assert "length-order" in codes(lower, "ask")
    cap, lower = ask(stay("cap_shroud", "port", 9000, "C"), stay("lower_shroud", "port", 5001, "L"))["assemblies"]
    assert codes(cap, "ask") == codes(lower, "ask") == []


@pytest.mark.parametrize(
    ("overall", "thin", "enough"), [("8499", None, "3 mm"), ("8500", "3 mm", "4 mm"), ("13000", "3 mm", "4 mm"), ("13001", "4 mm", "5 mm")]
)
def test_a_lifelines_wire_is_held_against_the_boats_length(overall: str, thin: str | None, enough: str):
    """Offshore Special Regulations 3.14.6 table 8 (2008 edition): under 8.5 m 3 mm, 8.5 to 13 m 4 mm, over 13 m 5 mm."""
    for mm, expected in ((thin, ["lifeline-too-thin"]), (enough, [])):
        if mm is not None:
            row = row_of(f"WIRE-1X19-316-{mm.replace(' ', '').upper()}")
            sent = shroud(End("eye", "swage"), End("eye", "swage"), wire(row), flat(5000), role="lifeline_upper", side="centre")
            (got,) = ask(sent, boat=Boat("x", D(overall)))["assemblies"]
            assert [each for each in codes(got, "ask") if each.startswith("lifeline")] == expected


def test_a_lifelines_deflection_of_50_mm_under_40_n_on_2_2_m_implies_440_n():
    """World Sailing Q&A 2014-013 (50 mm, 40 N); statics: 40/(2·sin(atan(100/2200))) = 440.5 N. One millimetre more is too slack."""
    for deflection, slack in ((50, False), (51, True)):
        test = DeflectionTest(D(2200), D(deflection), D(40))
        got = build(stay("lifeline_upper", "centre", 5000, deflection_test=test))
        assert ("440 N" in finding_of(got, "lifeline-tension")["message"]) != slack
        assert (len([each for each in codes(got, "ask") if each.startswith("lifeline")]) > 0) == slack


def test_a_growth_that_is_derived_is_asked_about_and_doubted_by_a_third_of_it_either_way():
    """No test swage of FORK-SW-7-32IN is in the table; its length is checked by summed metal in test_inverse. One figure at both ends: its doubt doubles."""
    end = End("fork", "swage")
    got = build(shroud(end, end, wire(row_of("WIRE-1X19-316-7-32IN")), flat(9000)))
    assert codes(got, "ask").count("growth-derived") == 2
    (grown, _) = [abs(D(each["mm"])) for each in got["derivation"] if "growth (derived)" in each["step"]]
    (contribution,) = [D(each["mm"]) for each in got["uncertainty"]["budget"] if "growth" in each["contributor"]]
    assert float(contribution) == pytest.approx(2 * float(grown) / 3 / 3**0.5, abs=0.002)


FORK_5 = {"1x19": "9.140", "compacted_1x19": "10.810", "7x7": "6.540", "7x19": "6.310"}  # growths.csv, FORK-SW-5MM, by eye


@pytest.mark.parametrize(("construction", "growth"), FORK_5.items())
def test_one_fork_grows_differently_on_each_construction(construction: str, growth: str):
    """Reach 77.0 and bore 53.00 at both ends: 9000 − 2·(77 + growth) + 2·53."""
    end = End("fork", "swage", pin=D(10))
    got = build(shroud(end, end, WireSpec(construction, D(5), "5 mm", "316"), flat(9000)))
    (row,) = {each["sku"] for each in got["parts"] if each["sku"].startswith("FORK")}
    reach, bore = (millimetres(row_of(row)[key]) for key in ("reach", "depth"))
    assert float(summed(got)) == pytest.approx(9000 - 2 * (reach + float(growth)) + 2 * bore, abs=0.0005)
    assert [abs(D(each["mm"])) for each in got["derivation"] if "growth" in each["step"]] == [D(growth)] * 2


def test_a_kept_compression_fork_counts_as_it_was_measured():
    """Reach 70, bore 40: 9000 − 30.690 (swaged fork above) − 70 + 40 = 8939.310; both measured within 0.5 mm: 0.5/√3 = 0.289 in the budget, twice."""
    own = OwnTerminal(reach=D(70), depth=D(40), within=D("0.5"))
    kept = End("fork", "compression", pin=size("3/8 in"), reuse=True, dimensions=own)
    got = build(shroud(FORK, kept, STRAND, flat(9000)))
    assert (codes(got, "stop"), summed(got)) == ([], D("8939.310"))
    assert [each["mm"] for each in got["uncertainty"]["budget"]].count("0.289") == 2


def test_a_kept_toggle_counts_as_it_was_measured():
    """Length 40 less the fork's pin 9.525: 9000 − 61.380 (two forks) − 30.475 = 8908.145."""
    kept = Link("toggle", size("3/8 in"), reuse=True, dimensions=OwnLink(length=D(40)))
    got = build(shroud(FORK, replace(FORK, links=(kept,)), STRAND, flat(9000, includes_links=True)))
    assert (codes(got, "stop"), summed(got)) == ([], D("8908.145"))


def test_a_kept_turnbuckle_counts_as_it_was_measured():
    """Body 100, run-out 29, both screws 28 out: 9000 − 30.690 − 185 − (116.681 − 63.5) − 7.950 + 51.079, each rounded: 8774.258."""
    asked = Turnbuckle(
        "open", thread="3/8-24 UNF", lower_end="toggle", pin=size("3/8 in"), reuse=True, setting=Setting(D(28), D(28), "caliper"),
        dimensions=OwnTurnbuckle(body=D(100), runout=D(29)),
    )  # fmt: skip
    got = build(shroud(FORK, STUD, STRAND, flat(9000, includes_turnbuckle=True), turnbuckle=asked))
    assert (codes(got, "stop"), summed(got)) == ([], D("8774.258"))


@pytest.mark.parametrize("what", ["terminal", "link", "turnbuckle"])
def test_dimensions_of_a_part_that_is_not_kept_are_refused(what: str):
    own = {"terminal": OwnTerminal(reach=D(70), depth=D(40)), "link": OwnLink(length=D(40)), "turnbuckle": OwnTurnbuckle(body=D(100))}[what]
    asked = Turnbuckle("open", thread="3/8-24 UNF", lower_end="toggle", setting=Setting(D(28), D(28), "caliper"))
    end = STUD if what == "turnbuckle" else FORK
    end = replace(end, dimensions=own) if what == "terminal" else end
    end = replace(end, links=(Link("toggle", size("3/8 in"), dimensions=own),)) if what == "link" else end
    measured = flat(9000, includes_links=True if what == "link" else None, includes_turnbuckle=True if what == "turnbuckle" else None)
    sent = shroud(FORK, end, STRAND, measured, turnbuckle=replace(asked, dimensions=own) if what == "turnbuckle" else None)
    assert codes(build(sent), "stop") == ["dimensions-of-a-new-part"]


def test_an_old_turnbuckle_measured_apart_counts_with_its_own_dimensions():
    """Old stud's thread 60, body 100, run-out 30, 28 mm exposed on both: 9000 − (60 − 28) + 100 + 28 + 30 = 9126 mm."""
    asked = Turnbuckle(
        "open", thread="3/8-24 UNF", lower_end="toggle", pin=size("3/8 in"), old=OldTurnbuckle(D(60), D(100), D(30)),
        setting=Setting(D(28), D(28), "caliper"),
    )  # fmt: skip
    got = build(shroud(FORK, STUD, STRAND, flat(9000, includes_turnbuckle=False), turnbuckle=asked))
    assert got["target_length"]["mm"] == "9126.000"
    assert got["turnbuckle"]["built"] == "centred"
    assert got["turnbuckle"]["turns_from_recorded"] is None


def test_without_a_setting_but_with_the_same_stud_the_wire_can_be_cut_and_the_travel_is_asked_about():
    """To the stud's last thread: 9000 − 30.690 (fork) − 116.681 + 63.5 − 63.5 − 7.950 + 51.079 = 8895.758."""
    asked = Turnbuckle("open", thread="3/8-24 UNF", lower_end="toggle", pin=size("3/8 in"), reuse=True)
    got = build(shroud(FORK, STUD, STRAND, flat(9000, includes_turnbuckle=False), turnbuckle=asked))
    assert (got["readiness"], codes(got, "ask"), got["cut_length"]["mm"]) == ("confirm", ["setting-unknown"], "8895.8")
    assert got["turnbuckle"]["take_up"] is None


@pytest.mark.parametrize(
    ("rig", "asked"), [("everyday", []), ("slack", ["rig-setting-not-everyday"]), ("unknown", ["rig-setting-not-everyday"])]
)
def test_a_setting_recorded_on_a_slack_rig_is_asked_about(rig: str, asked: list[str]):
    turnbuckle = Turnbuckle(
        "open", thread="3/8-24 UNF", lower_end="toggle", pin=size("3/8 in"), like_for_like=True, setting=Setting(D(28), D(28), "caliper")
    )
    got = build(shroud(FORK, STUD, STRAND, flat(9000, includes_turnbuckle=True, rig_setting=rig), turnbuckle=turnbuckle))
    assert codes(got, "ask") == asked


@pytest.mark.parametrize(("third", "blunders"), [("9003.3", 0), ("9003.4", 1)])
def test_a_reading_far_from_the_others_is_named_and_never_averaged_in_silence(third: str, blunders: int):
    """Three readings of one length lie within 3.3 standard deviations of one (ISO 5725-6, from memory); the shop's is 1 mm."""
    got = build(shroud(FORK, FORK, STRAND, flat(9000, 9001, third)))
    assert codes(got, "ask").count("reading-blunder") == blunders
    if blunders:
        assert finding_of(got, "reading-blunder")["pointer"] == "/assemblies/0/measurement/readings/2"


def test_two_readings_five_millimetres_apart_are_asked_about_and_do_not_make_the_length_worthless():
    """Two lie within 2.8 mm, and which is wrong is unknown. U is that of two readings in this shop, s/√2 = 0.707, not ± 40 mm by Student's t."""
    got = build(shroud(FORK, FORK, STRAND, flat(9000, 9005)))
    assert (got["readiness"], codes(got, "ask")) == ("confirm", ["reading-blunder"])
    assert finding_of(got, "reading-blunder")["pointer"] == "/assemblies/0/measurement/readings"
    assert got["uncertainty"]["budget"][0]["mm"] == "0.707"


def test_a_swaged_terminal_cannot_be_kept():
    got = build(shroud(FORK, replace(FORK, reuse=True), STRAND, flat(9000)))
    assert (got["readiness"], finding_of(got, "swaged-terminal-kept")["pointer"]) == ("hold", "/assemblies/0/lower/reuse")


def test_kept_parts_are_listed_at_no_price():
    kept = Turnbuckle(
        "open", thread="3/8-24 UNF", lower_end="fork", pin=size("3/8 in"), reuse=True, setting=Setting(D(28), D(28), "caliper")
    )
    sent = shroud(FORK, STUD, STRAND, flat(9000, includes_turnbuckle=True), turnbuckle=kept)
    quote = ask(sent)
    listed = {each["sku"] for each in quote["bill_of_materials"] if each["kept"]}
    assert {"BODY-OPEN-3-8UNF", "SCREW-FORK-3-8UNF-LH"} <= listed
    assert not {line["sku"] for line in quote["lines"]} & {"BODY-OPEN-3-8UNF", "SCREW-FORK-3-8UNF-LH"}


CALIPER = [  # 1x19: reading in mm → sizes that must be named
    ("3.98", {"5/32 in", "4 mm"}),  # 0.03 mm apart
    ("4.02", {"5/32 in", "4 mm"}),
    ("4.99", {"3/16 in"}),  # below 5 mm: 5 mm is excluded
    ("5.10", {"3/16 in", "5 mm"}),  # 3/16 in with its published plus tolerance reaches 5.22
    ("4.80", {"3/16 in"}),
]


@pytest.mark.parametrize(("reading", "sizes"), CALIPER)
def test_a_caliper_names_every_wire_that_it_cannot_tell_apart(reading: str, sizes: set[str]):
    got = build(shroud(FORK, FORK, WireSpec("1x19", None, "", "316", D(reading)), flat(9000)))
    (named,) = got["identified"]
    assert set(named["candidates"]) == sizes
    assert named["confidence"] == ("certain" if len(sizes) == 1 else "ambiguous")
    assert got["readiness"] != "ready_to_cut"


def test_a_reading_over_a_lifelines_cover_names_no_wire():
    got = build(shroud(FORK, FORK, WireSpec("1x19", None, "", "316", D("6.4"), coated=True), flat(9000)))
    assert codes(got, "stop") == ["wire-coated"]

"""How well a length is known: the shop's limits, travel, pairs, threads read from the wrong face, errors that cancel; and impossible loads."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from pricing.checks import Shop
from pricing.checks.assessment import Assessment, assess
from pricing.checks.uncertainty import uncertainty
from pricing.findings import Finding
from pricing.geometry.chain import build as lay
from pricing.measurement.assembly import End, Measurement, OwnTurnbuckle, QuoteRequest, TapeComparison, WireSpec
from pricing.wording import Voice

from .shop import DAY, FORK, STRAND, ask, build, codes, demo, finding_of, flat, shroud, stud, turnbuckle

D = Decimal
TERMS = demo()[1].at(DAY).terms


def known(assembly: Any, **terms: Decimal) -> Assessment:
    """One assembly judged by terms of its own."""
    changed = replace(TERMS, **terms)
    return assess(lay(assembly, demo()[0], changed), changed)


def findings_of(assessment: Assessment, **terms: Decimal) -> list[Finding]:
    """What the check finds."""
    return list(uncertainty(assessment, Shop(QuoteRequest((assessment.built.assembly,)), replace(TERMS, **terms))))


STAY = shroud(FORK, FORK, STRAND, flat(9000))
OWN = OwnTurnbuckle(
    body=D("101.6"), thread_length=D("63.5"), runout=D("30.559"), locknut=D(0), within=D("0.2")
)  # the catalogue's, measured


@pytest.mark.parametrize(
    ("over", "severity"), [("1.0000001", None), ("0.9999999", "note"), ("0.9090910", "note"), ("0.9090908", "ask"), ("0.5", "ask")]
)
def test_up_to_a_tenth_over_the_limit_is_a_note_and_more_an_ask(over: str, severity: str | None):
    """The limit as a share of U, not rounded: U/1.1 = 0.90909… U is the last that is only noted."""
    expanded = known(STAY).budget
    assert expanded is not None
    assessment = known(STAY, doubt_limit=D(repr(expanded.expanded)) * D(over))
    assert [each.severity for each in findings_of(assessment)] == ([] if severity is None else [severity])


def test_an_inch_boat_reads_inches_and_a_metric_one_millimetres():
    """A limit of 1 mm = 0.039 in."""
    assessment = known(STAY, doubt_limit=D(1))
    (finding,) = findings_of(assessment)
    inches, metric = (Voice("en", units, "owner").finding(finding).message for units in ("imperial", "metric"))
    assert "the shop allows 0.039 in" in inches
    assert " mm" not in inches
    assert "the shop allows 1.00 mm" in metric


def test_two_numbers_that_round_alike_are_told_apart():
    """± 3.00 mm where the limit is 3.00 mm says nothing."""
    expanded = known(STAY).budget
    assert expanded is not None
    assessment = known(STAY, doubt_limit=D(repr(expanded.expanded)) - D("0.0001"))
    (finding,) = findings_of(assessment)
    values = dict(finding.values)
    for units in ("metric", "imperial"):
        voice = Voice("en", units, "owner")
        assert voice.value(values["known"]) != voice.value(values["most"])


def test_tolerance_and_doubt_limit_are_terms_with_a_turnbuckle_without_and_of_a_pair():
    """Four terms apart: 2, 4, 6 and 8 mm, and the pair's where they are closer."""
    terms = {"tolerance": D(2), "tolerance_turnbuckle": D(4), "doubt_limit": D(6), "doubt_limit_turnbuckle": D(8)}
    hung = shroud(FORK, stud(), STRAND, flat(9000, includes_turnbuckle=True), turnbuckle=turnbuckle())
    assert (known(STAY, **terms).tolerance, known(STAY, **terms).doubt_limit) == (2, 6)
    assert (known(hung, **terms).tolerance, known(hung, **terms).doubt_limit) == (4, 8)
    changed = replace(TERMS, **terms, tolerance_pair=D(3), doubt_limit_pair=D(7))
    pair = [assess(lay(each, demo()[0], changed), changed, paired=True) for each in (STAY, hung)]
    assert [(each.tolerance, each.doubt_limit) for each in pair] == [(2, 6), (3, 7)]


def test_the_tape_is_not_blamed_where_nothing_is_left_to_take_up():
    """Two screws with 50.8 of their 63.5 mm inside a body of 101.6 mm fill it."""
    tight = shroud(FORK, stud(), STRAND, flat(9000, includes_turnbuckle=True), turnbuckle=turnbuckle("12.7", "12.7", dimensions=OWN))
    got = build(tight)
    assert got["turnbuckle"]["take_up"]["mm"] == "0.000"
    assert "take-up-short" in codes(got, "ask")
    assert "length-too-uncertain" not in codes(got)


def test_a_setting_counts_once_and_cancels_where_target_and_cut_both_have_it():
    """With the turnbuckle in the reading and built as recorded the thread is taken off; to the stud it is added and taken off; centred it is not used."""
    cases = {
        "in, as recorded": (True, "as_recorded", 2), "in, centred": (True, "centred", 0),
        "to the stud, as recorded": (False, "as_recorded", 0), "to the stud, centred": (False, "centred", 2),
    }  # fmt: skip
    for name, (included, how, count) in cases.items():
        sent = shroud(FORK, stud(), STRAND, flat(9000, includes_turnbuckle=included), turnbuckle=turnbuckle(build_at=how))
        budget = known(sent).budget
        assert budget is not None
        assert sum(getattr(each.name, "key", "") == "contribution.exposed" for each in budget.contributions) == count, name


@pytest.mark.parametrize(
    ("said_from", "nut", "asked", "shorter"),
    [
        ("body", "6", [], 0),
        (None, "6", ["thread-face-unsaid"], 0),
        ("locknut", "6", ["thread-from-locknut"], 12),
        ("locknut", "0", ["no-locknut"], 0),
    ],
)
def test_threads_read_from_a_locknuts_face_are_asked_about_and_never_taken(said_from: str | None, nut: str, asked: list[str], shorter: int):
    """A nut of 6 mm on both screws: 12 mm more thread to build with, so 12 mm less wire."""
    own = OwnTurnbuckle(body=D("101.6"), thread_length=D("63.5"), runout=D("30.559"), locknut=D(nut), within=D("0.2"))
    plain = turnbuckle("28", "28", dimensions=own)
    setting = replace(plain.setting, read_from="body") if plain.setting else None
    sent = shroud(FORK, stud(), STRAND, flat(9000, includes_turnbuckle=True), turnbuckle=replace(plain, setting=setting))
    from_body = build(sent)
    changed = replace(setting, read_from=said_from) if setting else None
    got = build(replace(sent, turnbuckle=replace(plain, setting=changed)))
    faces = {"thread-face-unsaid", "thread-from-locknut", "no-locknut"}
    assert [each for each in codes(got, "ask") if each in faces] == asked
    assert D(from_body["cut_length"]["mm"]) - D(got["cut_length"]["mm"]) == shorter
    nuts = [each["mm"] for each in got["uncertainty"]["budget"] if each["contributor"] == "locknuts' height"]
    assert nuts == (["0.231"] if shorter else [])  # one height, measured within 0.2 mm, on two screws: 2 · 0.2/√3


@pytest.mark.parametrize(
    ("newtons", "code"), [("20800", "tension-beyond-break"), ("45000", "tension-beyond-break"), ("6000", "tension-high"), ("5000", None)]
)
def test_a_tension_is_held_against_the_breaking_load(newtons: str, code: str | None):
    """A 5 mm wire that breaks at 20.8 kN: a quarter is 5.2 kN."""
    wire = WireSpec("1x19", D(5), "5 mm", "316")
    assert demo()[0].wire("1x19", "316", D(5)).break_kn == D("20.8")  # type: ignore[union-attr]
    got = build(shroud(End("fork", "swage"), End("fork", "swage"), wire, flat(9000), everyday_tension=D(newtons)))
    assert [each for each in codes(got) if each.startswith("tension")] == ([] if code is None else [code])
    assert (got["readiness"] == "hold") == (code == "tension-beyond-break")
    if code:
        assert finding_of(got, code)["pointer"] == "/assemblies/0/everyday_tension"


@pytest.mark.parametrize(("degrees", "asked"), [("-15", 0), ("-15.1", 1), ("45", 0), ("45.1", 1), ("75", 1)])
@pytest.mark.parametrize("which", ["temperature", "wire_temperature", "tape_temperature"])
def test_temperatures_at_which_nobody_measures_are_asked_about_each_by_itself(which: str, degrees: str, asked: int):
    got = build(shroud(FORK, FORK, STRAND, flat(9000, **{"temperature": None, which: D(degrees)})))
    assert codes(got, "ask").count("temperature-implausible") == asked


@pytest.mark.parametrize(
    ("both", "wire", "tape", "asked"),
    [
        (None, "-10", "40", 1),
        (None, "10", "30", 0),
        (None, "30", "9.9", 1),
        ("0", None, "20.1", 1),
        ("0", "30", None, 1),
        ("0", None, "20", 0),
    ],
)
def test_tape_and_wire_that_lie_side_by_side_are_not_far_apart(both: str | None, wire: str | None, tape: str | None, asked: int):
    """Up to and with 20 K: common practice, no source."""
    given = {"temperature": both, "wire_temperature": wire, "tape_temperature": tape}
    got = build(shroud(FORK, FORK, STRAND, flat(9000, **{name: None if text is None else D(text) for name, text in given.items()})))
    assert codes(got, "ask").count("temperature-implausible") == asked


@pytest.mark.parametrize(("true", "message"), [("10050", "0.5 % too long"), ("9950", "0.5 % too short"), ("10049", None)])
def test_a_tape_that_is_off_by_half_a_percent_is_asked_about(true: str, message: str | None):
    got = build(shroud(FORK, FORK, STRAND, flat(9000, tape_comparison=TapeComparison(D(10_000), D(true)))))
    assert ("tape-far-off" in codes(got, "ask")) == (message is not None)
    if message:
        assert message in finding_of(got, "tape-far-off")["message"]


@pytest.mark.parametrize(
    ("more", "code", "at"),
    [
        ({"pull": D(300), "support": "hung", "tape_on_wire": True}, None, ""),
        ({"pull": D(301), "support": "hung", "tape_on_wire": True}, "pull-beyond-hand", "pull"),
        ({"tension": D(500)}, "correction-unused", "tension"),
        ({"tension_within": D(500)}, "correction-unused", "tension_within"),
        ({"pull_within": D(5)}, "correction-unused", "pull_within"),
        ({"hung_as": "plumb"}, "correction-unused", "hung_as"),
    ],
)
def test_forces_that_have_no_place_or_no_hand_are_asked_about(more: dict[str, Any], code: str | None, at: str):
    got = build(shroud(FORK, FORK, STRAND, flat(9000, **more), old_wire=STRAND))
    asked = [each for each in codes(got, "ask") if each in ("pull-beyond-hand", "correction-unused")]
    assert asked == ([] if code is None else [code])
    if code:
        assert finding_of(got, code)["pointer"] == f"/assemblies/0/measurement/{at}"


def test_a_tape_whose_sag_is_absurd_is_refused_and_its_correction_never_reckoned():
    """99999 N/m on a kilometre under a thousandth of a newton: a number that no derivation can hold."""
    absurd = flat(1_000_000, support="hung", hung_as="level", pull=D(9000), tape_weight=D(99_999), tape_pull=D("0.001"))
    got = build(shroud(FORK, FORK, STRAND, absurd, old_wire=STRAND))
    assert (got["readiness"], finding_of(got, "sag-too-large")["pointer"]) == ("hold", "/assemblies/0/measurement/tape_weight")


def test_a_wire_pulled_at_its_breaking_load_was_never_measured():
    """3/16 in breaks at 4260 lbf = 18.95 kN."""
    got = build(shroud(FORK, FORK, STRAND, flat(9000, support="hung", hung_as="level", pull=D(18_950), tape_on_wire=True), old_wire=STRAND))
    assert (got["readiness"], finding_of(got, "tension-beyond-break")["pointer"]) == ("hold", "/assemblies/0/measurement/pull")


def test_two_tensions_of_one_rig_are_asked_about():
    sent = shroud(FORK, FORK, STRAND, flat(9000, support="aboard", tension=D(900)), old_wire=STRAND, everyday_tension=D(2000))
    assert "tension-twice" in codes(build(sent), "ask")


def test_a_compared_tape_is_true_at_the_temperature_and_pull_of_the_comparison():
    """Compared at 30 degC and used at 30: no more is added for the tape. Used at 20: 11.6e-6 · 9000 · (20 − 30) = −1.044 mm."""
    for used, expected in (("30", "0.000"), ("20", "-1.044")):
        measured: Measurement = flat(9000, temperature=D(used), tape_comparison=TapeComparison(D(5000), D(5000), D(1), D(30)))
        got = build(shroud(FORK, FORK, STRAND, measured))
        (tape,) = [each["mm"] for each in got["derivation"] if each["step"].startswith("tape at")]
        assert tape == expected
        assert "tape's comparison" in [each["contributor"] for each in got["uncertainty"]["budget"]]


def test_a_pair_read_once_each_stands_for_two_readings_only_where_it_agrees():
    """Ten millimetres are the shop's limit for a pair."""
    one = replace(flat(9000), readings=(D(9000),))
    for other, asked in (("9010", False), ("9010.1", True)):
        far = replace(one, readings=(D(other),))
        port = shroud(FORK, FORK, STRAND, one, role="cap_shroud", side="port", tag="P")
        starboard = shroud(FORK, FORK, STRAND, far, role="cap_shroud", side="starboard", tag="S")
        both = ask(port, starboard)["assemblies"]
        assert [("one-reading-alone" in codes(each, "ask")) for each in both] == [asked, asked]
        fore = ask(port, replace(starboard, mast="mizzen"))["assemblies"]
        assert all("one-reading-alone" in codes(each, "ask") for each in fore)

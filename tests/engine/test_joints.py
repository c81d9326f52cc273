"""Joints: two sides go together or the assembly stops; every pin of the bill belongs to one joint, every joint to one term and one pin at most."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from pricing.joints.faces import KINDS
from pricing.joints.members import of_boat
from pricing.joints.rules import RULES
from pricing.measurement.assembly import BOAT_FITTINGS, Assembly, BoatFitting, End, Link, OwnTerminal, Setting, Turnbuckle
from pricing.values import phrase, value_document
from tests.counts import some

from .inverse import mm, row_of, table
from .joints_by_hand import chain, link_halves, misfits, overlap
from .made_up import MadeUp, assemblies, eye_for, plain_end, takes
from .shop import (
    FORK,
    STRAND,
    TOGGLE,
    ask,
    assumed,
    build,
    codes,
    finding_of,
    flat,
    keys,
    named,
    shroud,
    size,
    step,
    stud,
    turnbuckle,
    wire,
)

D = Decimal
EYE = End("eye", "swage", pin=size("3/8 in"))
JOINTS = ("joint-misfit", "pin-does-not-fit")


def pins_of(quoted: dict[str, Any], end: str) -> Counter[float]:
    """Diameters of the clevis pins of one end's bill."""
    pins = [part for part in quoted["parts"] if part["sku"].startswith("PIN-") and part["at"] == end]
    return Counter(mm(row_of(part["sku"])["diameter"]) for part in pins for _ in range(part["quantity"]))


def assert_joined_as_billed(quoted: dict[str, Any], at: str | None) -> None:
    """Assert that every joint appears twice: in the derivation with its overlap, and in the bill with its jaw's pin, which spans the cheeks."""
    for end in ("upper", "lower"):
        joints, outermost = chain(quoted["parts"], end, at == end)
        assert [misfits(*joint) for joint in joints] == [[]] * len(joints)
        taken = [
            D(each["mm"])
            for each in quoted["derivation"]
            if each["step"].startswith((f"{end} pin through", f"{end} pin to the turnbuckle"))
        ]
        taken = [each for each in taken if each > 0]  # an old link's own joint is negative
        wanted = sorted(overlap(*joint) for joint in joints if overlap(*joint))
        assert sorted(map(float, taken)) == pytest.approx(wanted, abs=0.0006)
        jaws = [half for joint in (*joints, (outermost,)) for half in joint if half.kind == "jaw"]
        assert pins_of(quoted, end) == Counter(jaw.pin for jaw in jaws)
        spans = [mm(row_of(part["sku"])["grip"]) for part in quoted["parts"] if part["sku"].startswith("PIN-") and part["at"] == end]
        assert all(grip >= over for grip, over in zip(sorted(spans), sorted(jaw.over for jaw in jaws), strict=True))


@settings(max_examples=some(400, 50))
@given(assemblies())
def test_the_chain_put_together_again_has_every_joint_once_in_the_derivation_and_once_in_the_bill(made: MadeUp):
    quoted = build(made.assembly)
    assert codes(quoted, "stop") == []
    assert_joined_as_billed(quoted, made.assembly.turnbuckle.at if made.assembly.turnbuckle else None)


@st.composite
def any_chain(draw: st.DrawFn) -> tuple[Assembly, list[str]]:
    """Any terminal with any turnbuckle's end on it and any links of any pin beyond: what a rigger would never draw is among it."""
    spec = draw(st.sampled_from(table("wires")))
    rows = [row for row in table("terminals") if takes(row, spec) and row["pin"]]
    eye = eye_for(spec)
    row = draw(st.sampled_from([*rows, *([None] if eye else [])] or [None]))
    assume(row is not None or eye is not None)
    if row is not None:
        end, parts = plain_end("lower", row).end, [{"sku": row["sku"], "at": "lower", "quantity": 1}]
    else:
        thimble, sleeve = eye  # type: ignore[misc]
        end, parts = End("thimble_eye", "sleeve"), [{"sku": each["sku"], "at": "lower", "quantity": 1} for each in (thimble, sleeve)]
    hung, screws = (None, [])
    if draw(st.booleans()):
        body = draw(st.sampled_from(table("turnbuckle_bodies")))
        of_thread = [each for each in table("screws") if each["thread"] == body["thread"]]
        inner = draw(st.sampled_from([each for each in of_thread if each["hand"] == "right"]))
        outer = draw(st.sampled_from([each for each in of_thread if each["hand"] == "left"]))
        exposed = (size(inner["thread_length"]) / 2).quantize(D("0.001"))
        hung = Turnbuckle(
            body["body"], thread=body["thread"], hand="right", upper_end=inner["end"], lower_end=outer["end"], pin=size(outer["pin"]),
            inner_pin=size(inner["pin"]), setting=Setting(exposed, exposed, "caliper"), like_for_like=True,
        )  # fmt: skip
        screws = [{"sku": each["sku"], "at": "turnbuckle", "quantity": 1} for each in (body, inner, outer)]
    links = draw(st.lists(st.sampled_from(table("links")), max_size=2))
    asked = tuple(Link(each["kind"], size(each["pin"]), change="replaced") for each in links)
    parts = [*parts, *screws, *({"sku": each["sku"], "at": "lower", "quantity": 1} for each in links)]
    joints, _ = chain(parts, "lower", hung is not None)
    measured = flat(9000, 9000, includes_turnbuckle=True if hung else None, includes_links=True if links else None)
    upper = plain_end("upper", rows[0]).end if rows else replace(end, links=())
    sent = shroud(upper, replace(end, links=asked), wire(spec), measured, turnbuckle=hung)
    return sent, [wrong for joint in joints for wrong in misfits(*joint)]


@settings(max_examples=some(1200, 100))
@given(any_chain())
def test_no_chain_over_the_whole_catalogue_is_built_with_a_misfit_and_none_without_one_is_stopped_for_a_joint(
    drawn: tuple[Assembly, list[str]],
):
    sent, wrong = drawn
    stopped = set(codes(build(sent), "stop")) & set(JOINTS)
    assert bool(stopped) == bool(wrong), (stopped, wrong)


def test_two_jaws_are_named_with_the_link_that_would_join_them():
    hung = turnbuckle(upper_end="fork", inner_pin=size("3/8 in"))
    reported = finding_of(build(shroud(FORK, FORK, STRAND, flat(9000, 9000, includes_turnbuckle=True), turnbuckle=hung)), "joint-misfit")
    assert reported["values"] == {
        "inner": named("member.at_end", part="terminal.fork", end="end.lower"), "outer": named("member.on_turnbuckle", part="screw_end.fork"),
        "face": named("face.jaw"), "advice": named("advice.two_tongues"),
    }  # fmt: skip


def test_two_tongues_are_named_with_the_link_that_would_join_them():
    hung = turnbuckle(upper_end="eye", inner_pin=size("3/8 in"))
    reported = finding_of(build(shroud(FORK, EYE, STRAND, flat(9000, 9000, includes_turnbuckle=True), turnbuckle=hung)), "joint-misfit")
    assert reported["values"] == {
        "inner": named("member.at_end", part="terminal.eye", end="end.lower"), "outer": named("member.on_turnbuckle", part="screw_end.eye"),
        "face": named("face.tongue"), "advice": named("advice.bow_and_pin"),
    }  # fmt: skip


@pytest.mark.parametrize(
    ("boat_fitting", "readiness", "pins"),
    [
        (BoatFitting("plate", size("25/64 in"), size("3/8 in"), pin_from="assembly"), "ready_to_cut", 1),
        (BoatFitting("plate", size("25/64 in"), size("3/8 in"), pin_from="boat"), "ready_to_cut", 0),
        (BoatFitting("plate", size("25/64 in"), D(12)), "hold", 0),  # a fork's jaw is 15/32 in, 11.9 mm
        (BoatFitting("plate", D("9.5"), D(8)), "hold", 0),  # the pin is 9.525 mm
        (BoatFitting("plate", D(11), D(8)), "hold", 0),  # 9.525 rattles in 11: the shop's limit is 1.15, 10.95
        (BoatFitting("ring", D(30), D(8)), "ready_to_cut", 1),  # a ring sets a largest pin and no smallest
        (BoatFitting("cheeks", size("25/64 in"), D(4), D(12)), "hold", 0),
        (BoatFitting("lashing"), "ready_to_cut", 1),
        (BoatFitting("socket"), "hold", 0),
    ],
)
def test_a_fork_on_the_boats_own_fitting(boat_fitting: BoatFitting, readiness: str, pins: int):
    got = build(shroud(FORK, replace(FORK, boat_fitting=boat_fitting), STRAND, flat(9000, 9000)))
    assert (got["readiness"], sum(pins_of(got, "lower").values())) == (readiness, pins)
    if readiness == "hold":
        assert [each["pointer"] for each in got["findings"] if each["code"] in JOINTS] == ["/assemblies/0/lower/boat_fitting"]


@pytest.mark.parametrize(("opening", "readiness"), [("9/32 in", "hold"), ("1/2 in", "ready_to_cut"), (None, "ready_to_cut")])
def test_a_shackles_bow_goes_through_a_boats_ring_that_its_bar_has_room_in(opening: str | None, readiness: str):
    """The 3/8 in shackle's bow is a bar of 11/32 in in the table: 9/32 in is less, 1/2 in more; an opening that was not given is named."""
    bow = next(row for row in table("links") if row["kind"] == "shackle" and row["pin"] == "3/8 in")["bow"]
    assert bow == "11/32 in"
    ring = BoatFitting("ring", size(opening) if opening else None, D(6))
    end = replace(EYE, links=(Link("shackle", size("3/8 in"), change="kept", outer_side="bow"),), boat_fitting=ring)
    got = build(shroud(FORK, end, STRAND, flat(9000, 9000, includes_links=True)))
    assert ("pin-does-not-fit" in codes(got, "stop")) == (readiness == "hold")
    unknown = [size for each in got["findings"] if each["code"] == "joint-not-checked" for size in each["values"]["sizes"]["items"]]
    on_boat = value_document(
        phrase("unknown.hole", part=phrase("member.on_boat", part=phrase("boat_fitting.ring"), end=phrase("end.lower")))
    )
    assert (on_boat in unknown) == (opening is None)


@pytest.mark.parametrize(
    ("end", "boat_fitting", "asked"),
    [
        (FORK, BoatFitting("plate", None, size("3/8 in")), True),
        (EYE, BoatFitting("cheeks", None, D(5), D(12), "boat"), True),
        (FORK, BoatFitting("plate", size("25/64 in"), size("3/8 in")), False),
        (replace(FORK, boat_hole="redrilled", old_pin=size("3/8 in")), BoatFitting("plate", None, size("3/8 in")), False),
        (FORK, BoatFitting("lashing"), False),
    ],
)
def test_a_hole_on_the_boat_that_a_pin_must_go_through_is_named_where_it_was_not_given(end: End, boat_fitting: BoatFitting, asked: bool):
    got = build(shroud(FORK, replace(end, boat_fitting=boat_fitting), STRAND, flat(9000, 9000)))
    reported = [keys(each["values"]["sizes"]) for each in got["findings"] if each["code"] == "joint-not-checked"]
    assert any("unknown.hole" in each for each in reported) == asked


def test_a_misfits_remedy_speaks_of_what_misfits():
    rod = build(shroud(FORK, replace(stud(), boat_fitting=BoatFitting("bored_plate", D(5))), STRAND, flat(9000, 9000)))
    reported = finding_of(rod, "pin-does-not-fit")
    assert reported["wording"] == "rod"
    assert "thread" in reported["message"]
    assert not any(word in reported["message"] + reported["remedy"] for word in (" pin", "toggle", "shackle"))
    hook = build(shroud(FORK, replace(EYE, boat_fitting=BoatFitting("hook", None, D(25))), STRAND, flat(9000, 9000)))
    assert finding_of(hook, "pin-does-not-fit")["values"]["advice"] == named("advice.bow_takes_hook")
    cheeks = BoatFitting("cheeks", size("25/64 in"), D(5), D(12))
    shackled = replace(EYE, links=(Link("shackle", size("3/8 in"), change="kept", outer_side="pin"),), boat_fitting=cheeks)
    got = build(shroud(FORK, shackled, STRAND, flat(9000, 9000, includes_links=True)))
    assert finding_of(got, "joint-misfit")["values"]["advice"] == named("advice.bow_on_jaws_pin")  # it speaks of no fork: there is none


@pytest.mark.parametrize(
    ("boat_fitting", "pin"),
    [
        (None, None),
        (BoatFitting("cheeks", size("25/64 in"), D(5), D(12)), None),
        (BoatFitting("cheeks", size("25/64 in"), D(5), D(12), "boat"), None),
        (
            BoatFitting("cheeks", size("25/64 in"), D(3), D(11), "assembly"),
            "PIN-3-8IN-G11-16IN",
        ),  # 11 + 2·3 = 17: 1/2 in are 12.7, 11/16 17.46
        (BoatFitting("cheeks", size("25/64 in"), D("1.5"), D("9.6"), "assembly"), "PIN-3-8IN-G1-2IN"),  # 9.6 + 2·1.5 = 12.6
    ],
)
def test_an_eye_between_the_boats_cheeks_has_a_pin_of_the_assembly_only_where_that_is_given(
    boat_fitting: BoatFitting | None, pin: str | None
):
    got = build(shroud(FORK, replace(EYE, boat_fitting=boat_fitting), STRAND, flat(9000, 9000)))
    assert [part["sku"] for part in got["parts"] if part["at"] == "lower" and part["sku"].startswith("PIN-")] == ([pin] if pin else [])
    if boat_fitting is None:
        lashed = replace(FORK, boat_fitting=BoatFitting("lashing"))
        unlike = shroud(lashed, lashed, STRAND, flat(9000, 9000), tag="B")  # what both wires shared would be told of the boat
        got = ask(shroud(FORK, EYE, STRAND, flat(9000, 9000)), unlike)["assemblies"][0]
        assert keys(finding_of(got, "boat-fitting-not-said")["values"]["pins"]) == ["whose_pin.comes", "whose_pin.stays"]
    elif boat_fitting.pin_from is None:
        assert finding_of(got, "boat-pin-assumed")["wording"] == "stays"


def test_a_changed_bearing_on_the_boat_is_asked_about_and_an_unchanged_one_is_noted():
    shackled = build(shroud(FORK, replace(FORK, links=(Link("shackle", size("3/8 in"), change="added"),)), STRAND, flat(9000, 9000)))
    assert codes(shackled, "ask") == ["boat-fitting-missing"]
    toggled = ask(shroud(FORK, replace(FORK, links=(replace(TOGGLE, change="added"),)), STRAND, flat(9000, 9000)))
    assert codes(toggled["assemblies"][0], "ask") == []
    assert "boat-fitting-not-said" in assumed(toggled)


def test_a_toggle_given_as_the_turnbuckles_end_and_again_as_a_link_is_asked_about():
    measured = flat(9000, 9000, includes_turnbuckle=True, includes_links=True)
    got = build(shroud(FORK, replace(stud(), links=(replace(TOGGLE, change="kept"),)), STRAND, measured, turnbuckle=turnbuckle()))
    assert "toggle-said-twice" in codes(got, "ask")
    assert got["cut_length"] is not None
    forked = turnbuckle(lower_end="fork")
    assert "toggle-said-twice" not in codes(build(shroud(FORK, replace(stud(), links=(TOGGLE,)), STRAND, measured, turnbuckle=forked)))


@pytest.mark.parametrize("field", ["pin", "old_pin"])
def test_a_pin_on_a_tee_says_that_a_tee_has_no_pin(field: str):
    got = build(shroud(End("tee", "swage", **{field: D(8)}), FORK, STRAND, flat(9000, 9000)))
    reported = finding_of(got, "field-not-used")
    assert (reported["wording"], reported["pointer"], reported["severity"]) == ("no_pin", f"/assemblies/0/upper/{field}", "ask")
    assert reported["values"] == {"part": named("member.at_end", part="terminal.tee", end="end.upper")}


def test_a_shackle_can_be_turned_round_so_that_its_pin_goes_through_the_eye():
    """Inside its bow to its pin's face: an eye on either takes nothing off. Half an inch through 25/64 in does not go."""
    turned = Link("shackle", size("3/8 in"), outer_side="bow", change="kept")
    got = build(shroud(FORK, replace(EYE, links=(turned,)), STRAND, flat(9000, 9000, includes_links=True)))
    assert step(got, "lower shackle") == D("-33.338")  # 1 5/16 in
    assert not [each for each in got["derivation"] if "pin through" in each["step"]]
    wrong = build(shroud(FORK, replace(EYE, links=(replace(turned, pin=size("1/2 in")),)), STRAND, flat(9000, 9000, includes_links=True)))
    assert finding_of(wrong, "pin-does-not-fit")["pointer"] == "/assemblies/0/lower/links/0"


def test_the_way_round_that_a_rigger_hangs_a_toggle():
    row = row_of("LINK-TOGGLE-3-8IN")
    jaw, tongue = link_halves(row, chain([{"sku": "EYE-SW-3-16IN", "at": "lower", "quantity": 1}], "lower", False)[1])
    assert (jaw.kind, tongue.kind) == ("jaw", "tongue")


@pytest.mark.parametrize(("pin", "bolt"), [("7.94", "PIN-5-16IN"), ("8", "PIN-8MM")])
def test_a_kept_forks_pin_is_read_as_a_new_ones_is(pin: str, bolt: str):
    """7.94 mm is 5/16 in (7.9375) written rounded, which is noted; 8 mm is a size of its own."""
    own = OwnTerminal(reach=D(40), depth=D(18), hole=D("8.3"), within=D("0.2"))
    kept = End("fork", "compression", pin=D(pin), reuse=True, dimensions=own)
    strand = wire(row_of("WIRE-1X19-316-5-32IN"))
    got = build(shroud(kept, End("fork", "swage", pin=size("5/16 in")), strand, flat(5000, 5000)))
    (chosen,) = [part["sku"] for part in got["parts"] if part["at"] == "upper" and part["sku"].startswith("PIN-")]
    assert chosen.startswith(bolt)
    assert ("pin-taken-as-nominal" in codes(got, "note")) is (pin == "7.94")


def test_every_kind_of_side_joins_something_and_every_fitting_of_a_boat_shows_one():
    joined = {kind for pair in RULES for kind in pair}
    assert joined | {"bare"} == set(KINDS)
    assert {of_boat(BoatFitting(kind), "upper", hole_stays=True).kind for kind in BOAT_FITTINGS} <= set(KINDS)

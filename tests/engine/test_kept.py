"""Kept parts: what matters is measured or asked for. The catalogue's rows are altered, and a cut length that changes shows it relied on
them."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from functools import cache
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pricing.catalogue import Catalogue
from pricing.catalogue.indexing import index_of
from pricing.document import rendered
from pricing.measurement.assembly import End, Link, OldTurnbuckle, OwnLink, OwnTerminal, OwnTurnbuckle, QuoteRequest, WireSpec
from pricing.quote import make_quote
from tests.counts import some

from .inverse import row_of
from .shop import DAY, FORK, STRAND, build, checked, codes, demo, finding_of, flat, keys, named, shroud, size, stud, summed, turnbuckle

D = Decimal
MOVED = D("7.25")
KEPT_ASKS = {"kept-part-unmeasured", "old-turnbuckle-as-new"}
PIN = size("3/8 in")


@cache
def moved(*skus: str) -> Catalogue:
    """The demo catalogue with every length of these articles another one."""
    catalogue, _ = demo()
    lengths = ("length", "runout", "reach", "depth", "crown_to_sleeve")
    made = {}
    for kind in ("turnbuckle_bodies", "screws", "links", "terminals", "thimbles"):
        made[kind] = tuple(
            replace(row, **{name: getattr(row, name) + MOVED * 2**at for at, name in enumerate(lengths) if hasattr(row, name)})
            if row.sku in skus else row
            for row in getattr(catalogue.tables, kind)
        )  # fmt: skip
    tables = replace(catalogue.tables, **made)
    return replace(catalogue, tables=tables, index=index_of(tables))


def quoted(assembly: Any, catalogue: Catalogue) -> dict[str, Any]:
    return checked(rendered(make_quote(QuoteRequest((assembly,)), catalogue, demo()[1], DAY)))["assemblies"][0]


def within(made: type, **sizes: str) -> Any:
    return made(**{name: D(mm) for name, mm in sizes.items()}, within=D("0.2"))


BODIES = st.sampled_from(
    (None, within(OwnTurnbuckle, body="101.6", runout="30.56"), within(OwnTurnbuckle, body="120"), within(OwnTurnbuckle, runout="33"))
)
TOGGLES = st.sampled_from((None, within(OwnLink, length="38.1"), within(OwnLink, length="41"), within(OwnLink, hole="9.9")))
EYES = st.sampled_from((None, within(OwnTerminal, reach="60", depth="20"), within(OwnTerminal, reach="37", depth="21")))


@st.composite
def keeping(draw: st.DrawFn) -> Any:
    """A shroud that keeps a turnbuckle, a toggle or a compression eye, measured fully, partly or not; inside the reading or outside it."""
    eye, body, toggle = draw(EYES), draw(BODIES), draw(TOGGLES)
    upper = draw(
        st.sampled_from((FORK, End("eye", "compression", pin=PIN, reuse=True, dimensions=eye), End("thimble_eye", "sleeve", reuse=True)))
    )
    links = (Link("toggle", PIN, reuse=True, dimensions=toggle),) if upper is FORK and draw(st.booleans()) else ()
    old = draw(st.sampled_from((None, OldTurnbuckle(D(60)))))
    hung = turnbuckle(reuse=draw(st.booleans()), hand="right", dimensions=None, old=old)
    hung = replace(hung, dimensions=body if hung.reuse else None)
    spec = replace(STRAND, construction="7x7") if upper.terminal == "thimble_eye" else STRAND
    measured = flat(9000, 9000, includes_turnbuckle=draw(st.booleans()), includes_links=draw(st.booleans()) if links else None)
    return shroud(replace(upper, links=links), stud(), spec, measured, turnbuckle=hung)


@settings(max_examples=some(250, 25), deadline=None)
@given(keeping())
def test_a_length_not_asked_for_does_not_depend_on_a_kept_parts_dimension_from_the_catalogue(assembly: Any) -> None:
    """Every article that the bill lists as kept gets other lengths: only where its dimensions are asked for may the cut follow."""
    first = quoted(assembly, demo()[0])
    assert codes(first, "stop") == []
    kept = sorted({part["sku"].removeprefix("OWN-") for part in first["parts"] if part["kept"]})
    second = quoted(assembly, moved(*kept))
    asked = KEPT_ASKS & set(codes(first, "ask"))
    assert (summed(first) != summed(second)) == ("kept-part-unmeasured" in asked), (kept, codes(first))
    assert first["readiness"] != "ready_to_cut" or summed(first) == summed(second)


def to_stud(**more: Any) -> dict[str, Any]:
    return build(shroud(FORK, stud(), STRAND, flat(9000, 9000, includes_turnbuckle=False), turnbuckle=turnbuckle(**more)))


def test_each_mm_of_the_old_studs_thread_is_one_of_the_length_and_its_doubt_is_the_shops_term() -> None:
    """Catalogue 2 1/2 in = 63.5; given as 60: the target is 3.5 longer. Not given: half-width 5 mm, 5/√3 = 2.887; given: 0.2/√3 = 0.115."""
    without, with_old = to_stud(), to_stud(old=OldTurnbuckle(stud_thread_length=D(60)))
    assert D(with_old["target_length"]["mm"]) - D(without["target_length"]["mm"]) == D("3.5")
    assert (codes(without, "ask"), codes(with_old, "ask")) == (["old-stud-as-catalogue"], [])
    budgets = [{each["contributor"]: each["mm"] for each in got["uncertainty"]["budget"]} for got in (without, with_old)]
    assert [next(mm for name, mm in budget.items() if name == "old turnbuckle: thread of the stud") for budget in budgets] == [
        "2.887",
        "0.115",
    ]


def test_what_was_measured_of_a_replaced_turnbuckle_counts_one_by_one_and_the_rest_is_asked_for() -> None:
    """Body 4 in = 101.6 in the catalogue, given as 110: 8.4 more; run-out 1 13/64 in = 30.559, given as 40: 9.441 more."""
    base = to_stud(reuse=False)
    body = to_stud(reuse=False, old=OldTurnbuckle(body=D(110)))
    both = to_stud(reuse=False, old=OldTurnbuckle(body=D(110), runout=D(40)))
    mm = [D(each["target_length"]["mm"]) for each in (base, body, both)]
    assert (mm[1] - mm[0], mm[2] - mm[1]) == (D("8.4"), D("9.441"))
    assert keys(finding_of(body, "old-turnbuckle-as-new")["values"]["sizes"]) == ["dimension.runout"]
    assert codes(both, "ask") == ["old-stud-as-catalogue"]


def test_dimensions_of_an_old_turnbuckle_that_is_kept_are_asked_about_and_not_used() -> None:
    with_old = to_stud(old=OldTurnbuckle(D("63.5"), D(150), D(40)))
    assert codes(with_old, "ask") == ["old-turnbuckle-is-kept"]
    assert with_old["cut_length"] == to_stud(old=OldTurnbuckle(D("63.5")))["cut_length"]


def test_a_look_alike_that_is_farther_off_than_the_shops_term_widens_the_doubt() -> None:
    """Bodies of one thread: open 101.6, tubular 101.6 + 9.525: half-width 9.525, u = 5.499. Screws of one thread and end are alike: 5 mm, 2.887."""
    got = build(shroud(FORK, stud(), STRAND, flat(9000, 9000, includes_turnbuckle=True), turnbuckle=turnbuckle()))
    budget = {each["contributor"]: each["mm"] for each in got["uncertainty"]["budget"]}
    assert budget["kept turnbuckle: body from face to face"] == "5.499"
    assert budget["kept turnbuckle: screw from the end of its thread to its bearing"] == "2.887"


@pytest.mark.parametrize(("reach", "known"), [("38.3", True), ("50", False)])
def test_a_kept_terminal_measured_as_the_catalogues_is_as_strong_and_another_is_of_unknown_strength(reach: str, known: bool) -> None:
    row = row_of("EYE-CO-3-16IN")
    own = within(OwnTerminal, reach=str(size(row["reach"])) if known else reach, depth=str(size(row["depth"])))
    got = build(shroud(End("eye", "compression", pin=PIN, reuse=True, dimensions=own), FORK, STRAND, flat(9000, 9000)))
    assert ("own-strength-unknown" in codes(got, "ask")) != known


def test_a_kept_turnbuckles_strength_is_its_equivalents_and_reported_as_such() -> None:
    own = within(OwnTurnbuckle, body="110", runout="30.56")
    got = build(shroud(FORK, stud(), STRAND, flat(9000, 9000, includes_turnbuckle=True), turnbuckle=turnbuckle(dimensions=own)))
    assert "kept-strength-as-catalogue" in codes(got, "note")


@pytest.mark.parametrize(("spec", "cone"), [("1x19", "CONE-1X19-3-16IN"), ("7x7", "CONE-7X7-3-16IN")])
def test_a_kept_compression_terminal_takes_a_new_cone_for_its_wire(spec: str, cone: str) -> None:
    kept = End("fork", "compression", pin=PIN, reuse=True)
    got = build(shroud(kept, FORK, WireSpec(spec, STRAND.diameter, STRAND.size, "316"), flat(9000, 9000)))
    (part,) = [each for each in got["parts"] if each["sku"].startswith("CONE")]
    assert (part["sku"], part["quantity"], part["kept"], part["at"]) == (cone, 1, False, "upper")
    new = build(shroud(replace(kept, reuse=False), FORK, WireSpec(spec, STRAND.diameter, STRAND.size, "316"), flat(9000, 9000)))
    assert not [each for each in new["parts"] if each["sku"].startswith("CONE")]


@pytest.mark.parametrize("reuse", [True, False])
@pytest.mark.parametrize(
    ("body", "locks"), [("open", {"COTTER-3-32IN": (2, False)}), ("tubular", {"LOCKNUT-3-8UNF-RH": 1, "LOCKNUT-3-8UNF-LH": 1})]
)
def test_what_locks_a_body_is_in_the_bill(body: str, locks: dict[str, Any], reuse: bool) -> None:
    """Two cotter pins through an open one, always new; a locknut of each hand on a tubular one, which stay with a kept body."""
    asked = replace(turnbuckle(reuse=reuse, hand="right"), body=body)
    got = build(shroud(FORK, stud(), STRAND, flat(9000, 9000, includes_turnbuckle=True), turnbuckle=asked))
    parts = {
        each["sku"]: (each["quantity"], each["kept"])
        for each in got["parts"]
        if each["at"] == "turnbuckle" and each["sku"].startswith(("COTTER", "LOCKNUT"))
    }
    assert parts == {sku: many if isinstance(many, tuple) else (many, reuse) for sku, many in locks.items()}


def with_rows(kind: str, change: Any) -> Catalogue:
    catalogue, _ = demo()
    tables = replace(catalogue.tables, **{kind: tuple(change(row) for row in getattr(catalogue.tables, kind))})
    return replace(catalogue, tables=tables, index=index_of(tables))


@pytest.mark.parametrize("reuse", [True, False])
def test_a_screw_without_a_hole_in_an_open_body_is_asked_about(reuse: bool) -> None:
    bare = with_rows("screws", lambda row: replace(row, cotter_hole=None, cotter_at=None))
    got = quoted(shroud(FORK, stud(), STRAND, flat(9000, 9000, includes_turnbuckle=True), turnbuckle=turnbuckle(reuse=reuse)), bare)
    asked = finding_of(got, "no-cotter-hole")
    assert (asked["values"], asked["wording"]) == ({"screw": named("member.turnbuckle_screw_toggle")}, "kept" if reuse else "new")


def test_let_out_ends_where_a_hole_enters_the_boss() -> None:
    """T 63.5, hole 2.381 wide and 2.381 from the last thread, boss 20: 20 + 2.381 + 1.191 = 23.572 must be inside, more than 9.525.

    Exposed 28.575 and 26.9875: let-out 2·(63.5 − 23.572 − 28.575) = 22.706, where safe engagement alone gives 50.8.
    """
    long = with_rows("turnbuckle_bodies", lambda row: replace(row, boss=D(20)) if row.body == "open" else row)
    asked = shroud(FORK, stud(), STRAND, flat(9000, 9000, includes_turnbuckle=True), turnbuckle=turnbuckle(reuse=False, like_for_like=True))
    assert float(quoted(asked, long)["turnbuckle"]["let_out"]["mm"]) == pytest.approx(22.706, abs=0.002)
    assert quoted(asked, demo()[0])["turnbuckle"]["let_out"]["mm"] == "50.800"


def test_a_setting_at_which_nothing_can_lock_the_body_is_asked_about() -> None:
    """The boss of 20 again: with 45 of 63.5 showing, 18.5 are inside, and the hole is not through the boss yet."""
    long = with_rows("turnbuckle_bodies", lambda row: replace(row, boss=D(20)) if row.body == "open" else row)
    open_wide = turnbuckle("45", "30", reuse=False, like_for_like=True)
    asked = shroud(FORK, stud(), STRAND, flat(9000, 9000, includes_turnbuckle=True), turnbuckle=open_wide)
    assert "cotter-hole-in-boss" in codes(quoted(asked, long), "ask")
    assert codes(quoted(asked, demo()[0]), "ask") == []


@pytest.mark.parametrize(("reading", "held"), [("181.9", True), ("182.1", False)])
def test_the_sleeves_of_two_eyes_need_room_for_each_other(reading: str, held: bool) -> None:
    """5 mm thimble 33.5 + 8.5 to the sleeve's face, two sleeves of 22 with a gap of 5: 91 an eye, 182 both."""
    eye = End("thimble_eye", "sleeve")
    got = build(shroud(eye, eye, WireSpec("7x19", D(5), "5 mm", "316"), flat(reading, reading)))
    assert ("fittings-overlap" in codes(got, "stop")) == held


def test_tables_without_growths_use_the_one_figure_that_a_terminal_had_and_ask_of_which_wire_it_is() -> None:
    """FORK-SW-3-16IN as an edition of before has it: growth 0.313 in = 7.9502, u 0.016 in. On 7x7 it is asked about, and doubted by how otherwise 7x7 grows:

    49.225·(0.76 − 49/81)·4.7625²/7.9502² = 2.74 apart from 1x19 and, more, from compacted wire: (0.86 − 49/81) gives 4.51; u = √(0.4064² + 4.51²/3) = 2.635.
    """
    catalogue, _ = demo()
    before = tuple(
        replace(row, growth=D("7.9502"), growth_u=D("0.4064")) if row.sku == "FORK-SW-3-16IN" else row for row in catalogue.tables.terminals
    )
    tables = replace(catalogue.tables, terminals=before, growths=())
    old = replace(catalogue, tables=tables, index=index_of(tables))
    got = quoted(shroud(FORK, FORK, replace(STRAND, construction="7x7"), flat(9000, 9000)), old)
    assert codes(got, "ask").count("growth-of-unnamed-wire") == 2
    assert [D(each["mm"]) for each in got["derivation"] if "growth" in each["step"]] == [D("-7.950")] * 2
    (contribution,) = [float(each["mm"]) for each in got["uncertainty"]["budget"] if "growth" in each["contributor"]]
    assert contribution == pytest.approx(2 * 2.635, abs=0.02)


def test_a_deadeyes_dimensions_are_doubted_by_what_the_loop_takes_of_them() -> None:
    """Groove 84, to the sleeve 120, wire 6: R 45, φ 3.860144. A mm of diameter is (φ − 1)/2 = 1.43007 of wire less length, a mm to the sleeve
    2·120·111.28342/14409 + 45·6/14409 − 1 = 0.87231; each within 0.5: 1.43007·0.5/√3 = 0.413 and 0.252.
    """
    own = within(OwnTerminal, groove="84", to_sleeve="120", thickness="40")
    deadeye = End("deadeye", "sleeve", reuse=True, sent_in=True, dimensions=replace(own, within=D("0.5")))
    got = build(shroud(End("thimble_eye", "sleeve"), deadeye, WireSpec("7x7", D(6), "6 mm", "galvanised"), flat(9000, 9000)))
    budget = {each["contributor"]: each["mm"] for each in got["uncertainty"]["budget"]}
    assert budget["kept deadeye: diameter at the bottom of the groove"] == "0.413"
    assert budget["kept deadeye: from the centre to the sleeve"] == "0.252"
    assert codes(got, "ask") == ["own-strength-unknown"]

"""What becomes of each link: the boat is assembled twice, old and new, which gives the wire length; no formula of the engine is used.

Where an end touches the boat: a pin through the boat's hole lies on that hole's wall toward the wire. A shackle's bearing is that face of its pin,
so it stands on the wall; a hole's wall bears on the pin's other face, one pin farther out. The wall stays where it is.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any, NamedTuple

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from pricing.measurement.assembly import End, Link
from tests.counts import some

from .inverse import Surface, finish, hang, mm, row_of, terminal_surface
from .shop import FORK, STRAND, TOGGLE, ask, assumed, build, codes, finding_of, flat, shroud, size, stud, summed, turnbuckle

D = Decimal
EYE = End("eye", "swage", pin=size("3/8 in"))
WIRE = row_of("WIRE-1X19-316-3-16IN")
TERMINALS = {"fork": row_of("FORK-SW-3-16IN"), "eye": row_of("EYE-SW-3-16IN")}
LINKS = {kind: row_of(f"LINK-{kind.upper()}-3-8IN") for kind in ("toggle", "shackle")}


def wall(outermost: Surface) -> float:
    """Where the boat's hole has its wall toward the wire, when this bears on it."""
    return outermost.place - (0.0 if outermost.kind == "pin_face" else outermost.pin)


class Hung(NamedTuple):
    """A link of the case: what becomes of it, whether it is in the reading, how long the old one was."""

    kind: str
    change: str
    old_length: Decimal

    def old(self) -> dict[str, str]:
        """The old one as a row of the catalogue would have it."""
        return LINKS[self.kind] | ({"length": f"{self.old_length} mm"} if self.change != "kept" else {})


def laid(terminal: str, links: list[dict[str, str]]) -> list[Surface]:
    """The bearings from the terminal's own outward, from the wire's entry mark."""
    surfaces = [terminal_surface(TERMINALS[terminal], WIRE)]
    for link in links:
        surfaces.append(hang(surfaces[-1], link))
    return surfaces


@st.composite
def cases(draw: st.DrawFn) -> tuple[str, list[Hung], int]:
    """A terminal, up to three links on it, and how many of the old ones the reading took in."""
    lengths = st.integers(200, 600).map(lambda tenths: D(tenths) / 10)
    changes = st.sampled_from(("kept", "replaced", "added", "left_away"))
    links = draw(st.lists(st.builds(Hung, st.sampled_from(tuple(LINKS)), changes, lengths), min_size=1, max_size=3))
    terminal = draw(st.sampled_from(tuple(TERMINALS)))
    return terminal, links, draw(st.integers(0, len([each for each in links if each.change != "added"])))


def sent_links(links: list[Hung], taken: int) -> tuple[Link, ...]:
    """The links as they are sent, each with whether the reading included it."""
    sent, count = [], 0
    for each in links:
        old = each.change != "added"
        link = Link(each.kind, size("3/8 in"), change=each.change, in_reading=(count < taken) if old else None)
        sent.append(replace(link, old_length=each.old_length) if each.change in ("replaced", "left_away") else link)
        count += old
    return tuple(sent)


@settings(max_examples=some(400, 40))
@given(cases(), st.integers(2000, 12000))
def test_whatever_becomes_of_each_link_the_new_wire_reaches_between_the_boats_holes(case: tuple[str, list[Hung], int], reading: int):
    terminal, links, taken = case
    old = laid(terminal, [each.old() for each in links if each.change != "added"])
    new = laid(terminal, [LINKS[each.kind] for each in links if each.change != "left_away"])
    assume({"jaw", "hole", "pin_face"} >= {old[-1].kind, new[-1].kind})
    upper = {"fork": FORK, "eye": EYE}[terminal]
    sent = shroud(FORK, replace(upper, links=sent_links(links, taken)), STRAND, flat(reading, reading))
    quoted = build(sent)
    assert codes(quoted, "stop") == []
    # reading = free wire + upper bearing + what was seen of the old lower end; both walls stay
    top = terminal_surface(TERMINALS["fork"], WIRE).place
    free = reading - top - old[taken].place + wall(old[-1]) - wall(new[-1])
    wanted = free + mm(TERMINALS["fork"]["depth"]) + mm(TERMINALS[terminal]["depth"])
    assert abs(float(summed(quoted)) - wanted) < 0.01
    assert abs(finish(quoted, float(summed(quoted)), None).free - free) < 0.01


def lower(**fields: Any) -> Any:
    """A fork with a toggle below, read without it."""
    included = fields.pop("includes_links", False)
    return shroud(FORK, replace(FORK, links=(replace(TOGGLE, **fields),)), STRAND, flat(9000, 9000, includes_links=included))


PLAIN = summed(build(shroud(FORK, FORK, STRAND, flat(9000, 9000))))
TOGGLED = D("1.125") * D("25.4")  # toggle of 1 1/2 in on a 3/8 in pin


def test_where_the_old_one_had_no_toggle_the_wire_is_that_much_shorter():
    """It is given as added: 28.575 mm less wire than without it, not the same wire."""
    got = build(lower(change="added"))
    assert (summed(got) - PLAIN, got["target_length"]["mm"]) == (-TOGGLED, "9000.000")


def test_a_replaced_toggle_outside_the_reading_counts_by_its_own_length():
    """30 mm instead of 38.1: the wire is 8.1 mm shorter than with a like one, which changes nothing."""
    assert summed(build(lower(change="replaced", old_length=D(30)))) - PLAIN == D(30) - D("38.1")
    assert summed(build(lower(change="replaced"))) - PLAIN == 0


@pytest.mark.parametrize(("change", "asked"), [(None, True), ("replaced", True), ("kept", False), ("added", False)])
def test_an_old_length_is_asked_for_only_where_it_does_not_cancel(change: str | None, asked: bool):
    assert ("old-link-length-missing" in codes(build(lower(change=change)), "ask")) is asked
    in_it = ask(lower(change=change, includes_links=None if change == "added" else True))
    assert "old-link-length-missing" not in codes(in_it["assemblies"][0])
    assert ("link-change-assumed" in assumed(in_it)) is (change is None)


def test_a_toggle_left_away_outside_the_reading_is_added_to_the_target_and_not_built():
    got = build(lower(change="left_away", old_length=D("38.1")))
    assert D(got["target_length"]["mm"]) == 9000 + TOGGLED
    assert summed(got) - PLAIN == TOGGLED
    assert not [part for part in got["parts"] if part["sku"].startswith("LINK-")]


def test_a_link_left_away_of_a_size_that_nobody_knows_stops():
    got = build(lower(change="left_away", pin=D(11)))
    assert finding_of(got, "old-link-unknown")["pointer"] == "/assemblies/0/lower/links/0"


def test_a_shackle_in_the_place_of_a_fork_takes_one_old_pin_off_the_target_and_back_gives_one():
    """3/8 in, 9.525 mm; a shackle that was measured with and is left away gives it back."""
    added = build(shroud(FORK, replace(FORK, links=(Link("shackle", size("3/8 in"), change="added"),)), STRAND, flat(9000, 9000)))
    assert D(added["target_length"]["mm"]) == D("8990.475")
    left = Link("shackle", size("3/8 in"), change="left_away", in_reading=True)
    back = build(shroud(FORK, replace(FORK, links=(left,)), STRAND, flat(9000, 9000)))
    assert D(back["target_length"]["mm"]) == D("9009.525")


def test_each_end_says_by_itself_whether_its_links_were_in_the_reading():
    ends = [replace(FORK, links=(replace(TOGGLE, change="kept", in_reading=taken),)) for taken in (True, False)]
    got = build(shroud(*ends, STRAND, flat(9000, 9000)))
    assert D(got["target_length"]["mm"]) == 9000 + TOGGLED
    assert [each["step"] for each in got["derivation"] if "not in the reading" in each["step"]] == [
        "lower toggle, not in the reading",
        "lower pin through toggle, not in the reading",
    ]


@pytest.mark.parametrize(
    ("links", "measured", "code"),
    [
        ((replace(TOGGLE, change="added", in_reading=True),), flat(9000, 9000), "link-not-in-reading"),
        (
            (replace(TOGGLE, change="kept", in_reading=False), replace(TOGGLE, change="kept", in_reading=True)),
            flat(9000, 9000),
            "link-not-in-reading",
        ),
        ((replace(TOGGLE, change="added"),), flat(9000, 9000, includes_links=True), "links-not-described"),
    ],
)
def test_a_reading_cannot_include_a_missing_part_or_skip_one_between(links: tuple[Link, ...], measured: Any, code: str):
    assert code in codes(build(shroud(FORK, replace(FORK, links=links), STRAND, measured)), "ask")


def test_a_reading_to_the_stud_has_the_studs_datum_though_links_are_said_to_be_in():
    """The turnbuckle is off, so a link beyond it cannot be in the reading (common practice: a reading includes everything up to its outermost member)."""
    links = (replace(TOGGLE, change="kept"),)
    measured = flat(9000, 9000, includes_turnbuckle=False, includes_links=True, lower_datum="stud_tip")
    got = build(shroud(FORK, replace(stud(), links=links), STRAND, measured, turnbuckle=turnbuckle()))
    assert "datum-dimension-missing" not in codes(got)
    assert got["cut_length"] is not None

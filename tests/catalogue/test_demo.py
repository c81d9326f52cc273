"""The invented demo shop: written by its generator, and consistent with itself."""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise

import pytest

from pricing.catalogue import DEMO_FOLDER, Catalogue, load_catalogue
from pricing.data.make_demo import demo_files

D = Decimal


@pytest.fixture(scope="module")
def demo() -> Catalogue:
    return load_catalogue(DEMO_FOLDER)


@pytest.mark.parametrize(("name", "text"), demo_files().items(), ids=list(demo_files()))
def test_the_committed_file_is_what_the_generator_writes(name: str, text: str) -> None:
    assert (DEMO_FOLDER / name).read_bytes().decode("utf-8") == text


def test_no_other_table_lies_beside_the_generated_ones() -> None:
    assert {path.name for path in DEMO_FOLDER.glob("*.csv")} == set(demo_files())


def test_breaks_grow_with_the_diameter(demo: Catalogue) -> None:
    for kind in ("1x19", "compacted_1x19", "7x7", "7x19"):
        wires = demo.wires_of(kind, "316")
        assert len(wires) == 23
        assert all(thin.diameter < thick.diameter and thin.break_kn < thick.break_kn for thin, thick in pairwise(wires))


def test_316_is_no_stronger_than_the_published_composition_b(demo: Catalogue) -> None:
    for kind in ("7x7", "7x19"):
        for strong in demo.wires_of(kind, "composition_b"):
            weak = demo.wire(kind, "316", strong.diameter)
            assert weak is not None
            assert weak.break_kn < strong.break_kn


def test_every_terminal_is_as_strong_as_every_316_wire_it_takes(demo: Catalogue) -> None:
    for row in demo.tables.terminals:
        wires = [demo.wire(kind, "316", size) for kind in row.constructions for size in row.wire_sizes]
        assert all(wire is None or wire.break_kn <= row.break_kn for wire in wires), row.sku


def test_bodies_screws_and_pins_are_as_strong_as_the_wire_behind_their_stud(demo: Catalogue) -> None:
    for stud in (row for row in demo.tables.terminals if row.family == "stud"):
        wires = [demo.wire(kind, "316", size) for kind in stud.constructions for size in stud.wire_sizes]
        need = max(wire.break_kn for wire in wires if wire)
        for kind in ("open", "tubular"):
            body = demo.body(kind, stud.thread or "")
            assert body is not None
            assert body.break_kn >= need, (stud.sku, body.sku)
        for screw in demo.screws(stud.thread or "", "toggle"):
            assert min(screw.break_kn, demo.pins(screw.pin)[0].double_shear_kn) >= need, (stud.sku, screw.sku)


def test_every_jaw_has_a_pin_that_spans_it(demo: Catalogue) -> None:
    joints = [(row.jaw, row.pin) for row in demo.tables.terminals]
    joints += [(row.jaw, row.pin) for row in demo.tables.screws] + [(row.jaw, row.pin) for row in demo.tables.links]
    assert all(jaw <= demo.pins(pin)[-1].grip for jaw, pin in joints if jaw is not None and pin is not None)


def test_every_stud_has_a_turnbuckle_with_screws_of_the_other_hand(demo: Catalogue) -> None:
    for stud in (row for row in demo.tables.terminals if row.family == "stud"):
        ends = {end: {screw.hand for screw in demo.screws(stud.thread or "", end)} for end in ("toggle", "fork", "eye")}
        assert all(hands == {"left", "right"} for hands in ends.values())


def test_screws_and_studs_of_one_thread_engage_their_body(demo: Catalogue) -> None:
    for body in demo.tables.turnbuckle_bodies:
        for screw in demo.screws(body.thread, "toggle"):
            assert screw.thread_length > body.safe_engagement + body.locknut
            assert body.length > 2 * body.safe_engagement + 2 * screw.plain_tip


def test_the_sizes_usual_in_the_trade_are_there(demo: Catalogue) -> None:
    studs = demo.terminals("stud", "swage", "1x19", D("4.7625"))
    assert {(stud.thread, stud.hand) for stud in studs} == {
        ("3/8-24 UNF", "right"), ("3/8-24 UNF", "left"), ("5/16-24 UNF", "right"), ("5/16-24 UNF", "left"),
    }  # fmt: skip
    assert [fork.pin for fork in demo.terminals("fork", "swage", "1x19", D("4.7625"))] == [D("9.525")]
    assert demo.terminals("fork", "swage", "1x19", D("3.96875")) == demo.terminals("fork", "swage", "1x19", D(4))
    assert len(demo.balls(D("4.7625"))) == len(demo.balls(D(5))) == len(demo.balls(D(4))) == 2


def test_some_wires_have_no_terminal(demo: Catalogue) -> None:
    assert demo.wire("1x19", "316", D(14)) is not None
    assert demo.terminals("fork", "swage", "1x19", D(14)) == ()
    assert demo.wire("7x7", "316", D("12.7")) is not None
    assert demo.terminals("fork", "swage", "7x7", D("12.7")) == ()
    assert demo.sleeve("1x19", D(5)) is None


SHARE = {"1x19": D(19) / 25, "compacted_1x19": D(86) / 100, "7x7": D(49) / 81, "7x19": D(133) / 225}  # metal in the wire's circle


def test_most_wires_have_a_growth_of_every_terminal_and_some_have_none(demo: Catalogue) -> None:
    swaged = [row for row in demo.tables.terminals if row.attachment == "swage"]
    without = {
        (kind, size) for row in swaged for kind in row.constructions for size in row.wire_sizes if demo.growth(row.sku, kind, size) is None
    }
    assert {size for kind, size in without if kind == "1x19"} == {D("5.55625"), D("7.14375"), D(7), D("11.1125")}  # 7/32, 9/32, 7/16 in
    assert ("compacted_1x19", D("4.7625")) in without
    assert all(row.growth is None for row in swaged)


def test_growth_lies_between_half_and_all_of_what_conservation_of_metal_gives(demo: Catalogue) -> None:
    # barrel and wire drawn together over the swaged length: L((D0² - b² + k·d²)/D1² - 1), by hand from the row
    terminals = {row.sku: row for row in demo.tables.terminals}
    for tested in demo.tables.growths:
        row = terminals[tested.terminal]
        assert row.swaged_length
        assert row.shank_before
        assert row.bore
        assert row.shank_after
        metal = row.shank_before**2 - row.bore**2 + SHARE[tested.construction] * tested.wire_size**2
        full = row.swaged_length * (metal / row.shank_after**2 - 1)
        assert full / 2 <= tested.growth <= full, tested


def test_every_compression_terminal_has_a_cone_for_each_of_its_wires(demo: Catalogue) -> None:
    for row in (row for row in demo.tables.terminals if row.attachment == "compression"):
        assert all(demo.cone(kind, size) for kind in row.constructions for size in row.wire_sizes), row.sku


def test_every_body_can_be_locked(demo: Catalogue) -> None:
    for body in demo.tables.turnbuckle_bodies:
        if body.body == "tubular":
            assert all(demo.locknut(body.thread, hand) for hand in ("left", "right"))
    for screw in [*demo.tables.screws, *(row for row in demo.tables.terminals if row.family == "stud")]:
        assert screw.cotter_hole
        assert demo.cotter(screw.cotter_hole)


def test_prices_rise_once_and_fall_with_quantity(demo: Catalogue) -> None:
    of_wire = [row for row in demo.prices if row.sku == "WIRE-1X19-316-3-16IN"]
    assert {row.from_day.isoformat() for row in of_wire} == {"2026-01-01", "2026-07-01"}
    first = [row.unit_price for row in of_wire if row.from_day.month == 1]
    assert len(first) == 3
    assert first == sorted(first, reverse=True)


def test_every_published_source_is_named_and_the_rest_called_invented(demo: Catalogue) -> None:
    known = ("invented demo data", "ISO 261", "ASME B1.1")
    assert all(any(word in str(row["source"]) for word in known) for kind in demo.kinds() for row in demo.rows(kind))

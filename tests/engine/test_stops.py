"""Ball stops: marked where the quote says, swaged and hung, each bears where it was measured to; misplaced ones are reported."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from pricing.measurement.assembly import End, Setting, Stop, Turnbuckle
from tests.counts import some

from .inverse import beyond, finish, mm, row_of, stop_ring, table
from .made_up import eye_end, plain_end, terminals_for
from .shop import build, codes, finding_of, flat, shroud, size, summed, wire

D = Decimal
ROPE = row_of("WIRE-7X19-316-3-16IN")
FORK = End("fork", "swage", pin=size("3/8 in"))
HALF_INCH = size("1/2 in")


def a_stop(end: str, position: Decimal | str, toward: str, slot: Decimal | None = None) -> Stop:
    return Stop(end, D(position), toward, ball=HALF_INCH, slot=slot)


@st.composite
def halyards(draw: st.DrawFn):
    """Any wire that takes a ball, anything on its ends, one or two stops well apart, from either end, bearing either way."""
    ball = draw(st.sampled_from(table("balls")))
    spec = draw(st.sampled_from([row for row in table("wires") if row["diameter"] in ball["wire_sizes"].split(";")]))
    made = {}
    for name in ("upper", "lower"):
        rows = [row for row in terminals_for(spec) if row["family"] != "stud"]
        choices = [plain_end(name, row) for row in rows]
        eye = eye_end(name, spec)
        choices += [eye] if eye else []
        assume(choices)
        made[name] = draw(st.sampled_from(choices))
    slot = draw(st.sampled_from((None, D(str(round(mm(ball["ball"]) * 0.9, 3))))))
    stops = [
        Stop(
            draw(st.sampled_from(("upper", "lower"))),
            D(position),
            draw(st.sampled_from(("upper", "lower"))),
            ball=size(ball["ball"]),
            slot=slot,
        )
        for position in (draw(st.integers(900, 1500)), draw(st.integers(2200, 2600)))[: draw(st.integers(1, 2))]
    ]
    datums = {
        f"{name}_datum": draw(st.sampled_from(("bearing", "pin_centre", "hole_centre", "outer_tip"))) if end.end.pin else "bearing"
        for name, end in made.items()
    }
    return shroud(made["upper"].end, made["lower"].end, wire(spec), flat(D(9000), **datums), stops=tuple(stops)), ball


@settings(max_examples=some(300, 30))
@given(halyards())
def test_a_stop_marked_as_quoted_bears_where_it_was_measured(halyard):
    """The ring is found again on the finished wire and held against the position measured from the datum that was declared there."""
    sent, ball = halyard
    quoted = build(sent)
    assert codes(quoted, "stop") == []
    whole = finish(quoted, float(summed(quoted)), None)
    for asked, placed in zip(sent.stops, quoted["stops"], strict=True):
        slot = float(asked.slot) if asked.slot else mm(ball["slot"])
        ring = stop_ring(
            whole, float(placed["centre_from_upper_cut_end"]["mm"]), mm(ball["ball"]), slot, asked.from_end, asked.bears_toward
        )
        surface = (whole.upper if asked.from_end == "upper" else whole.lower).outermost
        datum = sent.measurement.upper_datum if asked.from_end == "upper" else sent.measurement.lower_datum
        assert abs(ring - beyond(surface, datum) - float(asked.position)) < 0.01


def test_a_stop_from_the_end_with_a_turnbuckle_left_out_is_found_from_the_stud_it_was_measured_from():
    """Position from the stud's last thread, which lies T − g inside the body: the whole assembly is built and the place looked for."""
    spec, stud = row_of("WIRE-1X19-316-3-16IN"), row_of("STUD-SW-3-16IN-3-8UNF-RH")
    end = End("stud", "swage", thread="3/8-24 UNF", hand="right")
    asked = Turnbuckle(
        "open", thread="3/8-24 UNF", lower_end="fork", pin=size("3/8 in"), reuse=True, setting=Setting(D(30), D(28), "caliper")
    )
    sent = shroud(FORK, end, wire(spec), flat(9000, includes_turnbuckle=False), turnbuckle=asked, stops=(a_stop("lower", "1000", "lower"),))
    quoted = build(sent)
    whole = finish(quoted, float(summed(quoted)), "lower")
    last_thread = whole.lower.surfaces[0].place
    centre = float(quoted["stops"][0]["centre_from_upper_cut_end"]["mm"])
    below = whole.upper.wire + whole.free - centre + last_thread  # from the ball's centre to the stud's last thread
    ring = 12.7 / 2 * (1 - (7 / 16) ** 2) ** 0.5  # 7/32 in slot on a 1/2 in ball
    assert mm(stud["thread_length"]) == 63.5
    assert below - ring == pytest.approx(1000, abs=0.01)


def halyard_with(*stops: Stop, reading: int = 3000):
    return build(shroud(FORK, FORK, wire(ROPE), flat(reading), stops=stops))


@pytest.mark.parametrize(
    ("position", "from_end", "place"),
    [("40", "upper", 0), ("40", "lower", 0), ("2980", "upper", 0), ("3500", "upper", 0), ("9999999", "lower", 0)],
)
def test_a_stop_on_a_terminal_or_beyond_the_wire_is_held(position: str, from_end: str, place: int):
    got = halyard_with(a_stop(from_end, position, from_end))
    finding = finding_of(got, "stop-off-the-wire")
    assert (got["readiness"], finding["pointer"]) == ("hold", f"/assemblies/0/stops/{place}/position")


def test_two_stops_at_one_place_are_held_and_two_close_together_are_asked_about():
    """The balls are 12.7 mm wide; ten wire diameters, 47.6 mm, are the least clear wire."""
    over = halyard_with(a_stop("upper", "1000", "upper"), a_stop("upper", "1005", "upper"))
    near = halyard_with(a_stop("upper", "1000", "upper"), a_stop("upper", "1060", "upper"))
    clear = halyard_with(a_stop("upper", "1000", "upper"), a_stop("upper", "1060.4", "upper"))
    assert (over["readiness"], near["readiness"], clear["readiness"]) == ("hold", "confirm", "ready_to_cut")
    assert codes(near, "ask") == ["stop-too-near"]


def test_a_stop_near_a_terminals_mouth_is_asked_about_at_ten_wire_diameters():
    """Fork reach 73.81875 + growth on 7x19 5.08 = 78.89875; clear 47.625, half a ball 6.35: centre at 132.87375, ring (bearing up) 5.71004 before: 127.1637."""
    assert codes(halyard_with(a_stop("upper", "127.16", "upper")), "ask") == ["stop-too-near"]
    assert codes(halyard_with(a_stop("upper", "127.17", "upper")), "ask") == []
    assert codes(halyard_with(a_stop("lower", "127.16", "lower")), "ask") == ["stop-too-near"]
    assert codes(halyard_with(a_stop("lower", "127.17", "lower")), "ask") == []


def test_stops_named_out_of_their_order_are_asked_about():
    assert codes(halyard_with(a_stop("upper", "2000", "upper"), a_stop("upper", "1000", "upper")), "ask") == ["stops-out-of-order"]


def test_a_ball_that_pulls_through_its_slot_is_held():
    assert codes(halyard_with(a_stop("upper", "1000", "upper", slot=HALF_INCH)), "stop") == ["stop-pulls-through"]


def test_a_ball_that_is_not_made_for_the_wire_is_held():
    assert codes(halyard_with(replace(a_stop("upper", "1000", "upper"), ball=D(20))), "stop") == ["no-ball-for-wire"]


def test_a_ball_whose_size_was_not_given_is_asked_about():
    assert codes(halyard_with(replace(a_stop("upper", "1000", "upper"), ball=None)), "ask") == ["ball-assumed"]


def test_stops_use_no_wire():
    assert halyard_with(a_stop("upper", "1000", "upper"))["cut_length"] == halyard_with()["cut_length"]

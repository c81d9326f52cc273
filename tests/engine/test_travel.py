"""A turnbuckle's travel, found by turning its body until something blocks it rather than by formula; and proposals that work when
followed."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

from hypothesis import assume, given, settings

from pricing.measurement.assembly import Assembly
from tests.counts import some

from .inverse import finish, mm, of_kind, table
from .made_up import MadeUp, assemblies
from .shop import build

Screws = tuple[dict[str, str], dict[str, str]]


def screws_of(quoted: dict, sent: Assembly) -> tuple[dict[str, str], Screws]:
    """Body, and (upper, lower) screw: the wire's stud counts as one."""
    at = sent.turnbuckle.at
    (body,) = of_kind(quoted["parts"], "turnbuckle_bodies", "turnbuckle")
    own = of_kind(quoted["parts"], "screws", "turnbuckle")
    near = own[0] if len(own) == 2 else of_kind(quoted["parts"], "terminals", at)[0]
    return body, (near, own[-1]) if at == "lower" else (own[-1], near)


def turned(stands: Callable[[float, float], bool], exposed: tuple[float, float], sign: int) -> float:
    """How far the assembly changes until a turn is no longer possible: both screws move alike, half of it each."""
    low, high = 0.0, 500.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if stands(*(each + sign * middle / 2 for each in exposed)) else (low, middle)
    return low


@settings(max_examples=some(250, 15))
@given(assemblies())
def test_the_travel_left_is_what_turning_the_body_gives(made: MadeUp):
    """Tighter until a locknut meets the body or the tips meet inside; looser until a screw has less than a safe engagement."""
    assume(made.assembly.turnbuckle is not None)
    quoted = build(made.assembly)
    body, screws = screws_of(quoted, made.assembly)
    (thread,) = [row for row in table("threads") if row["designation"] == body["thread"]]
    safe = max(mm(body["safe_engagement"]), mm(thread["diameter"]))

    def tight(*exposed: float) -> bool:
        inside = sum(mm(row["thread_length"]) - g + mm(row["plain_tip"]) for row, g in zip(screws, exposed, strict=True))
        return min(exposed) >= mm(body["locknut"]) and inside <= mm(body["length"])

    def loose(*exposed: float) -> bool:
        return all(mm(row["thread_length"]) - g >= safe for row, g in zip(screws, exposed, strict=True))

    turnbuckle = quoted["turnbuckle"]
    exposed = tuple(float(turnbuckle["build_setting"][f"{which}_exposed"]["mm"]) for which in ("upper", "lower"))
    assert abs(turned(tight, exposed, -1) - float(turnbuckle["take_up"]["mm"])) < 0.002
    assert abs(turned(loose, exposed, +1) - float(turnbuckle["let_out"]["mm"])) < 0.002
    recorded = made.assembly.turnbuckle.setting
    change = sum(exposed) - float(recorded.upper_exposed + recorded.lower_exposed)
    if turnbuckle["turns_from_recorded"] is not None:
        assert abs(float(turnbuckle["turns_from_recorded"]) * 2 * mm_of_pitch(thread) - change) < 0.011 * mm_of_pitch(thread)


def mm_of_pitch(thread: dict[str, str]) -> float:
    """`1/24 in` or `1.25 mm`."""
    return mm(thread["pitch"])


@settings(max_examples=some(250, 15))
@given(assemblies())
def test_it_is_built_as_recorded_where_the_geometry_stays_and_centred_where_it_does_not(made: MadeUp):
    asked = made.assembly.turnbuckle
    assume(asked is not None)
    turnbuckle = build(made.assembly)["turnbuckle"]
    same = asked.reuse or asked.like_for_like is True
    assert turnbuckle["built"] == (asked.build_at or ("as_recorded" if same else "centred"))
    assert (turnbuckle["turns_from_recorded"] is None) == (not same)


@settings(max_examples=some(250, 15))
@given(assemblies())
def test_a_proposed_cut_built_at_its_proposed_setting_comes_to_the_same_length(made: MadeUp):
    """Recorded near an end of the travel, it is proposed centred: the wire that goes with it must finish at the target all the same."""
    asked = made.assembly.turnbuckle
    assume(asked is not None)
    quoted = build(made.assembly)
    proposal = quoted["turnbuckle"]["proposal"]
    turnbuckle = quoted["turnbuckle"]
    short = Decimal(turnbuckle["take_up"]["mm"]) < Decimal(turnbuckle["travel_needed"]["mm"]) or Decimal(
        turnbuckle["let_out"]["mm"]
    ) < Decimal(quoted["uncertainty"]["mm"])
    assert (proposal is not None) == (short and turnbuckle["built"] == "as_recorded")
    if proposal is not None:
        setting = tuple(float(proposal["build_setting"][f"{which}_exposed"]["mm"]) for which in ("upper", "lower"))
        cut = float(proposal["cut_length"]["mm"])
        assert abs(finish(quoted, cut, asked.at, setting).length - float(made.wanted)) < 0.06

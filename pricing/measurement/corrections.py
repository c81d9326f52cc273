"""Corrections to a reading as pure arithmetic: each correction is a function of a Situation, and so is the effect of an uncertain input.

Surveying practice for tapes (temperature α·L·ΔT, pull (P − P0)·L/(A·E), sag w²·L³/(24·P²), university slides "Taping Corrections") and
statics for the wire (stretch F·L/(A·E)). The measured wire is the old one: its weight, stiffness and expansion count. Units: mm, N, N/m, K,
degC; A·E in N. A correction is positive if it lengthens.
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any, NamedTuple

from pricing.constants import REFERENCE_DEGC

ZERO = Decimal(0)


class Situation(NamedTuple):
    """How a length was read. `length` is the mean reading, `wire_length` the free wire between the fittings within it (mm).

    `how` is flat, level, plumb (both: hung) or aboard. `tension` is the wire's tension while measured aboard, `everyday` its sailing
    tension (N); `everyday_aboard` means that the two are the same. An input of None is unknown, and its correction is not made.
    """

    length: Decimal
    wire_length: Decimal
    how: str
    old_expansion: Decimal
    old_weight: Decimal
    old_ae: Decimal
    new_ae: Decimal
    changed: bool = False
    tape_expansion: Decimal = ZERO
    tape_at: Decimal | None = None
    tape_true_at: Decimal = REFERENCE_DEGC
    wire_at: Decimal | None = None
    tape_pull: Decimal | None = None
    tape_true_pull: Decimal | None = None
    tape_ae: Decimal | None = None
    pull: Decimal | None = None
    tape_on_wire: bool = False
    tape_weight: Decimal | None = None
    tape_sag_pull: Decimal | None = None
    tension: Decimal | None = None
    everyday: Decimal | None = None
    everyday_aboard: bool = False


_PLACE = {name: place for place, name in enumerate(Situation._fields)}


def tape_temperature(s: Situation) -> Decimal:
    """A warm tape reads short: αt·L·(T − T0)."""
    return ZERO if s.tape_at is None else s.tape_expansion * s.length * (s.tape_at - s.tape_true_at)


def wire_temperature(s: Situation) -> Decimal:
    """A warm wire is longer: − αo·Lw·(T − 20 degC)."""
    return ZERO if s.wire_at is None else -s.old_expansion * s.wire_length * (s.wire_at - REFERENCE_DEGC)


def tape_stretch(s: Situation) -> Decimal:
    """A tape pulled harder than its reference pull reads short: (Pt − P0)·L/(A·E)t."""
    if s.tape_pull is None or s.tape_true_pull is None or s.tape_ae is None:
        return ZERO
    return (s.tape_pull - s.tape_true_pull) * s.length / s.tape_ae


def sag(length: Decimal, weight: Decimal, pull: Decimal) -> Decimal:
    """Arc minus chord of a shallow hung wire: w²·L³/(24·P²), the parabola."""
    return (weight / 1000) ** 2 * length**3 / (24 * pull**2)


def wire_sag(s: Situation) -> Decimal:
    """Sag of the measured wire, if it hung level and the tape did not lie on it."""
    return ZERO if s.how != "level" or s.pull is None or s.tape_on_wire else sag(s.length, s.old_weight, s.pull)


def tape_sag(s: Situation) -> Decimal:
    """Sag of a tape hung beside the wire."""
    if s.how != "level" or s.tape_on_wire or s.tape_weight is None or s.tape_sag_pull is None:
        return ZERO
    return -sag(s.length, s.tape_weight, s.tape_sag_pull)


def hung_stretch(s: Situation) -> Decimal:
    """Level: − P·Lw/(A·E)o. Plumb: − (P + wo·L/2)·Lw/(A·E)o, since the wire carries half of its own weight on average."""
    if s.how not in ("level", "plumb") or s.pull is None:
        return ZERO
    own = s.old_weight * s.length / 2000 if s.how == "plumb" else ZERO
    return -(s.pull + own) * s.wire_length / s.old_ae


def aboard_stretch(s: Situation) -> Decimal:
    """− Fm·Lw/(A·E)o: stretch of the measured wire at the tension during measurement."""
    if s.how != "aboard":
        return ZERO
    tension = s.everyday if s.everyday_aboard else s.tension
    return ZERO if tension is None else -tension * s.wire_length / s.old_ae


def other_stretch(s: Situation) -> Decimal:
    """The new wire stretches differently from the old one at the everyday tension: F·Lw·(1/(A·E)o − 1/(A·E)n)."""
    if not s.changed or s.everyday is None:
        return ZERO
    return s.everyday * s.wire_length * (1 / s.old_ae - 1 / s.new_ae)


Corrections = tuple[Callable[[Situation], Decimal], ...]
ALL: Corrections = (tape_temperature, wire_temperature, tape_stretch, wire_sag, tape_sag, hung_stretch, aboard_stretch, other_stretch)


def corrected_by(s: Situation) -> Decimal:
    """The sum of all corrections in mm, not rounded."""
    return sum([each(s) for each in ALL], ZERO)


def corrections_for(s: Situation) -> Corrections:
    """The corrections that apply. The others return ZERO itself, whatever the values of the known inputs."""
    return tuple([each for each in ALL if each(s) is not ZERO])


def moved(s: Situation, corrections: Corrections, names: tuple[str, ...], half_width: Decimal, least: Decimal | None = None) -> float:
    """The change in length (mm, signed) when an input varies by `half_width` either way: the side with the larger effect.

    `corrections` are those that apply; the fields `names` all hold this input; `least` is its lower limit, such as the pull needed to hold
    the wire up.
    """
    middle = sum([each(s) for each in corrections], ZERO)
    shifted = [_shifted(s, names, step, least) for step in (half_width, -half_width)]
    return float(max([sum([each(other) for each in corrections], ZERO) - middle for other in shifted], key=abs))


def _shifted(s: Situation, names: tuple[str, ...], step: Decimal, least: Decimal | None) -> Situation:
    values: list[Any] = list(s)
    for name in names:
        moved_to = values[_PLACE[name]] + step
        values[_PLACE[name]] = moved_to if least is None else max(moved_to, least)
    return Situation(*values)

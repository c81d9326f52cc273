"""Describes how the fittings of a port and a starboard wire differ. Only properties known on both sides are compared."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from functools import lru_cache
from typing import TYPE_CHECKING

from pricing.geometry.hardware import CACHE_SIZE, Hardware
from pricing.values import Length, Phrase, Size, Text, Value, phrase, phrases

if TYPE_CHECKING:
    from pricing.checks.assessment import Assessment
    from pricing.geometry.sides import Side
    from pricing.measurement.assembly import End, Turnbuckle

Fact = tuple[Phrase, Value | None]
Facts = dict[Phrase, Value]
MEASURED_ALIKE = Decimal(2)  # mm: two kept parts of the same kind, each measured aboard; common practice, no source
NONE, TURNBUCKLE = phrase("compared.none"), phrase("member.turnbuckle")
NEAR = Decimal("0.01")  # mm: the same nominal size, written once as a fraction and once as a decimal


def differences(port: Assessment, starboard: Assessment) -> tuple[Phrase, ...]:
    """Differences such as `pin at the upper end (8 mm to port, 10 mm to starboard)`; empty if both are alike."""
    one, two = port.built.hardware, starboard.built.hardware
    return () if one is two else _differences(one, two)


@lru_cache(maxsize=CACHE_SIZE)
def _differences(port: Hardware, starboard: Hardware) -> tuple[Phrase, ...]:
    one, two = _facts(port), _facts(starboard)
    return tuple(
        phrase("compared.difference", what=what, port=one[what], starboard=two[what])
        for what in one
        if what in two and not _equal(one[what], two[what])
    )


def _equal(one: Value, two: Value) -> bool:
    """Whether both are the same; sizes are nominal, lengths measured on kept parts."""
    if isinstance(one, Size) and isinstance(two, Size):
        return abs(one.mm - two.mm) < NEAR
    if isinstance(one, Length) and isinstance(two, Length):
        return abs(one.mm - two.mm) < MEASURED_ALIKE
    return one == two


def _facts(hardware: Hardware) -> Facts:
    found: Facts = {}
    upper, lower = (None, None) if hardware.ends is None else (hardware.ends.upper, hardware.ends.lower)
    for name, end, side in (("upper", hardware.assembly.upper, upper), ("lower", hardware.assembly.lower, lower)):
        found |= _known(_end(name, end, side))
    found |= _known(_turnbuckle(hardware.assembly.turnbuckle))
    return found


def _known(facts: Iterable[Fact]) -> Facts:
    return {what: fact for what, fact in facts if fact is not None}


def _end(name: str, end: End, side: Side | None) -> Iterable[Fact]:
    at = phrase(f"end.{name}")
    terminal = phrase(f"terminal.{end.terminal}")
    if end.attachment:
        terminal = phrase("compared.attached", terminal=terminal, attachment=phrase(f"attachment.{end.attachment}"))
    yield phrase("compared.terminal", end=at), terminal
    yield phrase("compared.links", end=at), phrases([f"link.{link.kind}" for link in end.links]) if end.links else NONE
    if side is not None:
        fitting = side.fitting
        yield phrase("compared.pin", end=at), _size(fitting.frame.pin)
        yield phrase("compared.thread", end=at), None if fitting.thread is None else Text(fitting.thread)
        yield phrase("compared.hand", end=at), None if fitting.hand is None else phrase(f"hand.{fitting.hand}")


def _turnbuckle(turnbuckle: Turnbuckle | None) -> Iterable[Fact]:
    if turnbuckle is None:
        yield TURNBUCKLE, phrase("compared.no_turnbuckle")
        return
    yield TURNBUCKLE, phrase("compared.body_at", body=phrase(f"body.{turnbuckle.body}"), end=phrase(f"end.{turnbuckle.at}"))
    for name, end in (("upper", turnbuckle.upper_end), ("lower", turnbuckle.lower_end)):
        yield (
            phrase("compared.turnbuckle_end", end=phrase(f"end.{name}")),
            None if end is None else phrase("link.toggle" if end == "toggle" else f"terminal.{end}"),
        )
    yield phrase("compared.turnbuckle_pin"), _size(turnbuckle.pin)
    yield phrase("compared.turnbuckle_after"), phrase("compared.old_one" if turnbuckle.reuse else "compared.new_one")
    if turnbuckle.reuse and turnbuckle.dimensions is not None:
        for part, measured in (
            ("body", turnbuckle.dimensions.body),
            ("runout", turnbuckle.dimensions.runout),
            ("thread_length", turnbuckle.dimensions.thread_length),
        ):
            yield phrase(f"compared.kept_{part}"), None if measured is None else Length(measured)


def _size(mm: Decimal | None) -> Size | None:
    return None if mm is None else Size(mm)

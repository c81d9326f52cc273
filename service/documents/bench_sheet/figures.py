"""Lengths and gauge limits as read on the bench: in both units, each rounded once."""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal
from typing import Any, TypeAlias

from pricing.model import Length
from pricing.units import imperial, metric
from service.documents.speech import Speech

Json: TypeAlias = dict[str, Any]  # what the bench sheet writes
_INCH = Decimal("25.4")
_TENTH, _HUNDREDTH, _THOUSANDTH = Decimal("0.1"), Decimal("0.01"), Decimal("0.001")
_PARTS = 64
NO_INCHES = "use mm"


def length(mm: Decimal, speech: Speech) -> Json:
    """A length: `mm` unchanged, to 0.1 mm, and to the nearest 1/32 in."""
    return {"mm": f"{mm:f}", "metric": speech.local(metric(mm)), "imperial": speech.local(imperial(mm))}


def quoted(figure: Length, speech: Speech) -> Json:
    """A length of the quote, with the quote's own text in its units: that was rounded from the length itself, not from these millimetres."""
    return {**length(figure.mm, speech), speech.units: speech.local(figure.text)}


def between(mm: Decimal, tolerance: Decimal, speech: Speech) -> tuple[Json, Json]:
    """Minimum and maximum of a length with its tolerance, rounded inward, so that what is within them is within the tolerance.

    To 0.1 mm and 1/64 in; if no multiple of 1/64 in lies between them, a text says so instead of inches.
    """
    low, high = mm - tolerance, mm + tolerance
    ticks = [(each / _INCH * _PARTS).to_integral_value(way) for each, way in ((low, ROUND_CEILING), (high, ROUND_FLOOR))]
    inches = [imperial(tick / _PARTS * _INCH, _PARTS) if ticks[0] <= ticks[1] else speech.say(NO_INCHES) for tick in ticks]
    tenths = [each.quantize(_TENTH, way) for each, way in ((low, ROUND_CEILING), (high, ROUND_FLOOR))]
    least, most = (
        {"mm": f"{tenth:f}", "metric": speech.local(f"{tenth} mm"), "imperial": speech.local(text)}
        for tenth, text in zip(tenths, inches, strict=True)
    )
    return least, most


def diameter(mm: Decimal, speech: Speech) -> Json:
    """A diameter as read on a caliper: to 0.01 mm and 0.001 in."""
    return _gauge(mm, ROUND_HALF_UP, speech)


def at_most(mm: Decimal, speech: Speech) -> Json:
    """A maximum diameter, rounded down, so that what passes it passes the actual limit."""
    return _gauge(mm, ROUND_FLOOR, speech)


def at_least(mm: Decimal, speech: Speech) -> Json:
    """A minimum diameter, rounded up."""
    return _gauge(mm, ROUND_CEILING, speech)


def _gauge(mm: Decimal, rounding: str, speech: Speech) -> Json:
    inches = (mm / _INCH).quantize(_THOUSANDTH, rounding)
    millimetres = mm.quantize(_HUNDREDTH, rounding)
    return {"mm": f"{mm:f}", "metric": speech.local(f"{millimetres} mm"), "imperial": speech.local(f"{inches} in")}

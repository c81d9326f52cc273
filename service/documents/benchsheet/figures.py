"""Lengths and gauge limits as the bench reads them: in both units, each rounded once."""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal

from pricing.units import imperial, metric
from service.documents.rig.terms import Document

_INCH = Decimal("25.4")
_TENTH, _HUNDREDTH, _THOUSANDTH = Decimal("0.1"), Decimal("0.01"), Decimal("0.001")
_PARTS = 64
NO_INCHES = "use mm"


def length(mm: Decimal | str) -> Document:
    """A length: `mm` as it is, then to 0.1 mm and to the nearest 1/32 in."""
    value = Decimal(mm)
    return {"mm": f"{value:f}", "metric": metric(value), "imperial": imperial(value)}


def between(mm: Decimal, tolerance: Decimal) -> tuple[Document, Document]:
    """Least and most of a length with its tolerance, rounded inward: what keeps within them keeps within the tolerance.

    To 0.1 mm and 1/64 in; where no 1/64 lies between them, inches are refused in words.
    """
    low, high = mm - tolerance, mm + tolerance
    ticks = [(each / _INCH * _PARTS).to_integral_value(way) for each, way in ((low, ROUND_CEILING), (high, ROUND_FLOOR))]
    inches = [imperial(tick / _PARTS * _INCH, _PARTS) if ticks[0] <= ticks[1] else NO_INCHES for tick in ticks]
    tenths = [each.quantize(_TENTH, way) for each, way in ((low, ROUND_CEILING), (high, ROUND_FLOOR))]
    least, most = ({"mm": f"{tenth:f}", "metric": f"{tenth} mm", "imperial": text} for tenth, text in zip(tenths, inches, strict=True))
    return least, most


def diameter(mm: Decimal) -> Document:
    """A diameter as a caliper reads it: to 0.01 mm and 0.001 in."""
    return _gauge(mm, ROUND_HALF_UP)


def at_most(mm: Decimal) -> Document:
    """A greatest diameter, rounded down, so that what passes it passes the limit itself."""
    return _gauge(mm, ROUND_FLOOR)


def at_least(mm: Decimal) -> Document:
    """A least diameter, rounded up."""
    return _gauge(mm, ROUND_CEILING)


def _gauge(mm: Decimal, rounding: str) -> Document:
    inches = (mm / _INCH).quantize(_THOUSANDTH, rounding)
    return {"mm": f"{mm:f}", "metric": f"{mm.quantize(_HUNDREDTH, rounding)} mm", "imperial": f"{inches} in"}

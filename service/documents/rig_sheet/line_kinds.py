"""The kinds of line of the drawn rig: each readiness has its own, besides its sign, so that neither colour nor size has to be told apart.

Of ISO 128-2:2020, from memory: a continuous wide line for what is ready, a dashed wide one for what is to be confirmed, a dotted narrow one
for what is on hold; narrow continuous lines for leaders and for the rig that is drawn as ground. Wide is twice narrow, 0.5 and 0.25 mm in print.
"""

from __future__ import annotations

from service.documents.svg.fittings.signs import sign
from service.documents.svg.paper import Sheet, number

_WIDE, _NARROW = 1.5, 0.75  # px of a sheet 560 px or 186 mm wide
GROUND: dict[str, object] = {"stroke": "#777", "stroke_width": _NARROW, "fill": "none"}
LEADER: dict[str, object] = {"stroke": "#000", "stroke_width": _NARROW / 1.5}
OF_WIRE: dict[str, dict[str, object]] = {
    "ready_to_cut": {"stroke_width": _WIDE},
    "confirm": {"stroke_width": _WIDE, "stroke_dasharray": "9 4"},
    "hold": {"stroke_width": _NARROW, "stroke_dasharray": "0.8 2.6"},
}
SIGN = 8.0  # px, of a sign on the drawing
_DRAWN = 13.0  # px, the size for which its strokes are made


def drawn(sheet: Sheet, points: list[tuple[float, float]], values: dict[str, object]) -> None:
    """Draw a line through points, px."""
    path = "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points)
    sheet.shape("path", d=path, **{"fill": "none", "stroke": "#000", "stroke_linejoin": "round", **values})


def small_sign(sheet: Sheet, readiness: str, x: float, y: float) -> None:
    """Draw the sign of a readiness, as it stands in the table, smaller: centred at (x, y)."""
    sheet.open("g", transform=f"translate({number(x)} {number(y)}) scale({number(SIGN / _DRAWN)})")
    sign(sheet, readiness, 0.0, 0.0, _DRAWN)
    sheet.close("g")

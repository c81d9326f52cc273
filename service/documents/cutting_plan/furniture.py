"""What surrounds the bars: the legend, the fill patterns, and the ruler that shows the scale."""

from __future__ import annotations

from service.documents.speech import Speech
from service.documents.svg.lettering import width
from service.documents.svg.paper import LEFT, RIGHT, Sheet

SIZE = 10.0
_HEIGHT = 12.0
PATTERNS = (
    '<pattern id="cutting-plan-hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    '<rect width="6" height="6" fill="#fff"/><rect width="1.2" height="6"/></pattern>'
    '<pattern id="cutting-plan-dots" width="5" height="5" patternUnits="userSpaceOnUse">'
    '<rect width="5" height="5" fill="#fff"/><circle cx="2.5" cy="2.5" r="0.9"/></pattern>'
)
_MEANINGS = (
    ("piece", "piece, in cutting order from the left"),
    ("kept", "remnant kept"),
    ("scrap", "scrap"),
    ("customers", "remnant that goes to the customer"),
    ("undrawn", "cuts not drawn"),
    ("number", "steps of the cuts, with a key under the bar"),
    ("cut", "cut: tick above the bar; its allowance is black inside, true to the bar's scale, and may be too thin to see"),
)
_UNITS = {"imperial": ("ft", 304.8), "metric": ("m", 1000.0)}


def legend(sheet: Sheet, speech: Speech) -> None:
    """Draw a sample of each symbol with its meaning."""
    x, top = LEFT, sheet.take(18)
    for sign, text in _MEANINGS:
        meaning = speech.say(text)
        room = width(meaning, SIZE) + 1
        if x + 32 + room > RIGHT:
            x, top = LEFT, sheet.take(18)
        _sample(sheet, sign, x, top + 3)
        sheet.text(x + 32, top + 12.5, meaning, SIZE, room)
        x += 32 + room + 14


def _sample(sheet: Sheet, sign: str, x: float, top: float) -> None:
    if sign == "number":
        sheet.text(x + 13, top + 9.5, "3–5", SIZE, 26, "middle")
        return
    fill = {"scrap": "url(#cutting-plan-hatch)", "undrawn": "url(#cutting-plan-dots)"}.get(sign, "#fff")
    sheet.rect(x, top, 26.0, _HEIGHT, fill=fill, stroke="#000", class_="sample")
    if sign == "kept":
        sheet.rect(
            x + 2.5, top + 2.5, 21.0, _HEIGHT - 5, fill="none", stroke="#000", stroke_width=1.6, stroke_dasharray="6 3", class_="sample"
        )
    if sign == "cut":
        sheet.rect(x + 13, top, 2.0, _HEIGHT, class_="sample")
        sheet.line(x + 13, top - 3, x + 13, top + _HEIGHT)


def rule(sheet: Sheet, scale: float, longest: float, speech: Speech) -> None:
    """Draw a graduated ruler for bars of `scale` px per mm, up to `longest` mm, in feet or metres."""
    symbol, unit = _UNITS.get(speech.units, _UNITS["metric"])
    name = speech.local(f"0 {symbol}").removeprefix("0 ")
    step = _graduation(unit * scale, width(f"{int(longest / unit)}.88 {name}", SIZE) + 14)
    top = sheet.take(24) + 18
    sheet.line(LEFT, top + 4, LEFT + longest * scale, top + 4, stroke_width=0.5)
    for count in range(int(longest / unit / step + 1e-9) + 1):
        x = LEFT + count * step * unit * scale
        sheet.line(x, top, x, top + 4, stroke_width=0.5)
        said = speech.local(f"{count * step:g} {symbol}")
        room = width(said, SIZE) + 1
        anchor = "start" if not count else "middle" if x + room / 2 <= RIGHT else "end"
        sheet.text(x, top - 2, said, SIZE, room, anchor)


def _graduation(unit: float, least: float) -> float:
    """The smallest of 1, 2, 5 times a power of ten units whose marks are at least this many px apart."""
    ten = 0.001
    while True:
        for step in (1, 2, 5):
            if step * ten * unit >= least:
                return step * ten
        ten *= 10

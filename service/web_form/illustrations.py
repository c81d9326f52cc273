"""Small drawings for the form, using the project's own symbols: a fitting with its bearing marked, the point a reading was taken to, a
turnbuckle's setting.
"""

from __future__ import annotations

from functools import lru_cache

from pricing.fittings import FAMILIES
from pricing.measurement.datums import OF_LINK
from service.documents.rig.ends import Member
from service.documents.svg.fittings import usual
from service.documents.svg.fittings.dimensions import standing
from service.documents.svg.fittings.hardware import HARDWARE
from service.documents.svg.fittings.pen import Pen
from service.documents.svg.fittings.terminals import sketch_of
from service.documents.svg.fittings.usual import WIRE
from service.documents.svg.paper import Paper, Sheet
from service.web_form.ask_length import DATUM_LABELS
from service.web_form.asking import N_
from service.web_form.description import TAPE, TAPE_WORDS
from service.web_form.terminals import BEARINGS, LABELS
from service.wording import translator

_PAPER = Paper(200.0, 50, 254, "@page{size:210mm 279mm}")
_AXIS, _TOP, _SCALE = 100.0, 52.0, 2.6
_TALL = 190.0
PLACES = {**{name: family.datums for name, family in FAMILIES.items() if name != "none"}, "shackle": OF_LINK["shackle"]}
SHACKLE = N_("Shackle"), N_("Bears on the face of its pin toward the wire.")
TURNBUCKLE = (
    N_("A turnbuckle's setting"),
    N_("Measured is the thread that shows: from the face of the body to where the thread ends, at each screw."),
)
_MEASURED = N_("The dashed line is where it was measured:")
#: The names of a turnbuckle's screws by its drawing: on a wire that stands, on one that lies level.
SCREWS = {"turnbuckle": (N_("upper"), N_("lower")), "turnbuckle-level": (N_("forward"), N_("after"))}
WORDS = {**dict.fromkeys(SCREWS, TURNBUCKLE), TAPE: TAPE_WORDS}
NAMES = (*WORDS, *PLACES, *(f"{name}-{place}" for name, places in PLACES.items() for place in places))


def alternative(name: str, language: str) -> tuple[str, str]:
    """A drawing's text alternative: title and description. Raises KeyError for an unknown name."""
    say = translator(language)
    if name in WORDS:
        return say(WORDS[name][0]), say(WORDS[name][1])
    fitting, _, place = name.partition("-")
    title, bearing = SHACKLE if fitting == "shackle" else (LABELS[fitting], BEARINGS[fitting])
    words = [say(bearing)]
    if place and place != "bearing":
        words.append(f"{say(_MEASURED)} {say(DATUM_LABELS[place])}.")
    return say(title), " ".join(words)


@lru_cache(maxsize=128)
def illustration(name: str, language: str) -> bytes:
    """The drawing as SVG in UTF-8. Raises KeyError for an unknown name."""
    if name not in NAMES:
        raise KeyError(name)
    title, words = alternative(name, language)
    sheet = Sheet(title, _PAPER, "illustration")
    sheet.y = _TALL
    if name in SCREWS:
        _turnbuckle(sheet, [translator(language)(each) for each in SCREWS[name]])
    elif name == TAPE:
        _tape(sheet)
    else:
        _fitting(sheet, *name.partition("-")[::2])
    return sheet.finish("", words)


def _fitting(sheet: Sheet, name: str, place: str) -> None:
    pen = Pen(sheet, _AXIS, _TOP, 1, _SCALE, WIRE)
    member = usual.link(name) if name == "shackle" else usual.terminal(name)
    (HARDWARE.get(member.kind) or sketch_of(member.kind))(pen, member)
    if name != "shackle":
        pen.moved(member.end).box(0.0, 60.0 - member.end if member.end > 50 else 8.0, WIRE / 2)
    if place and place != "bearing":
        _datum(pen, usual.along(member.kind, place))


def _tape(sheet: Sheet) -> None:
    """One inch in sixteenths, each mark as long as its fraction is coarse, named at its end; an arrow at 5/16."""
    left, inch, edge = 16.0, 168.0, 26.0
    sheet.y = 84.0
    sheet.line(left - 10, edge, left + inch + 10, edge, stroke_width=1.2)
    for sixteenth in range(17):
        halves = (sixteenth & -sixteenth).bit_length() - 1 if sixteenth % 16 else 4
        x = left + inch * sixteenth / 16
        sheet.line(x, edge, x, edge + 10 + 9 * halves, stroke_width=1.2)
    for sixteenth, words in ((0, "0"), (4, "1/4"), (8, "1/2"), (12, "3/4"), (16, "1 in")):
        halves = 2 if sixteenth in (4, 12) else 3 if sixteenth == 8 else 4
        sheet.text(left + inch * sixteenth / 16 - (4.0 if sixteenth == 0 else 10.0), edge + 24 + 9 * halves, words, 11.0, 54.0)
    at = left + inch * 5 / 16
    sheet.line(at, 12.0, at, edge - 2, stroke_width=1.6)
    sheet.line(at - 4, edge - 8, at, edge - 2, stroke_width=1.6)
    sheet.line(at + 4, edge - 8, at, edge - 2, stroke_width=1.6)
    sheet.text(at - 10, 10.0, "5/16", 11.0, 54.0)


def _datum(pen: Pen, along: float) -> None:
    pen.outline([(along, -24.0), (along, 24.0)], closed=False, stroke_width=1.6, stroke_dasharray="6 3", class_="datum")


def _turnbuckle(sheet: Sheet, screws: list[str]) -> None:
    pen, at = Pen(sheet, _AXIS, 14.0, 1, 1.7, WIRE), 0.0
    pen.box(0.0, 8.0, WIRE / 2)
    for kind, length in (("stem", 8.0), ("thread", 16.0), ("open body", 44.0), ("thread", 16.0), ("stem", 8.0)):
        if kind == "stem":
            pen.moved(at).box(0.0, length, 0.8 * WIRE)
        else:
            HARDWARE[kind](pen.moved(at), Member(kind, 0.0, length, {"inside": 16.0}, ""))
        at += length
    for start, words in zip((8.0, 68.0), screws, strict=True):
        top, bottom = (14.0 + 1.7 * along for along in (start, start + 16.0))
        for y in (top, bottom):
            sheet.line(_AXIS + 10, y, _AXIS + 40, y, stroke_width=0.6)
        standing(sheet, _AXIS + 36, top, bottom)
        sheet.text(_AXIS + 44, (top + bottom) / 2 + 4, words, 11.0, 54.0)

"""Small drawings for the form, by the project's own signs: a fitting with its bearing marked, the place a reading was taken to, a turnbuckle's setting."""

from __future__ import annotations

from functools import lru_cache

from pricing.datums import OF_LINK, OF_TERMINAL
from service.documents.drafting.sheet import Paper, Sheet
from service.documents.rig.ends import Member
from service.documents.sketch.dimensions import standing
from service.documents.sketch.hardware import HARDWARE
from service.documents.sketch.pen import Pen
from service.documents.sketch.shanks import pin_of
from service.documents.sketch.terminals import TERMINALS
from service.form.ask_length import DATUM_LABELS
from service.form.asking import N_
from service.form.speech import translator
from service.form.terminals import BEARINGS, LABELS

_PAPER = Paper(200.0, 50, 254, "@page{size:210mm 279mm}")
_AXIS, _TOP, _SCALE, _WIRE = 100.0, 52.0, 2.6, 5.0
_LENGTH, _TALL, _BALL = 46.0, 190.0, 1.6
_SIZES = {
    "stud": {"thread": 24.0, "depth": 12.0},
    "thimble_eye": {"crown": 9.0, "to sleeve": 34.0, "groove": 11.0, "sleeves": 1.0, "pressed": 16.0, "covered": 16.0},
    "shackle": {"whole": 32.0},
}
_KINDS = {"thimble_eye": "thimble eye", "shackle": "shackle link"}
PLACES = {**{name: places for name, places in OF_TERMINAL.items() if name != "none"}, "shackle": OF_LINK["shackle"]}
SHACKLE = N_("Shackle"), N_("Bears on the face of its pin toward the wire.")
TURNBUCKLE = (
    N_("A turnbuckle's setting"),
    N_("Measured is the thread that shows: from the face of the body to where the thread ends, at each screw."),
)
_MEASURED = N_("The dashed line is where it was measured:")
NAMES = ("turnbuckle", *PLACES, *(f"{name}-{place}" for name, places in PLACES.items() for place in places))


def alternative(name: str, language: str) -> tuple[str, str]:
    """What a drawing shows, in words: title and description. Raises KeyError for a name that is none."""
    say = translator(language)
    if name == "turnbuckle":
        return say(TURNBUCKLE[0]), say(TURNBUCKLE[1])
    fitting, _, place = name.partition("-")
    title, bearing = SHACKLE if fitting == "shackle" else (LABELS[fitting], BEARINGS[fitting])
    words = [say(bearing)]
    if place and place != "bearing":
        words.append(f"{say(_MEASURED)} {say(DATUM_LABELS[place])}.")
    return say(title), " ".join(words)


@lru_cache(maxsize=128)
def illustration(name: str, language: str) -> bytes:
    """The drawing as SVG in UTF-8. Raises KeyError for a name that is none."""
    if name not in NAMES:
        raise KeyError(name)
    title, words = alternative(name, language)
    sheet = Sheet(title, _PAPER, "illustration")
    sheet.y = _TALL
    if name == "turnbuckle":
        _turnbuckle(sheet, language)
    else:
        _fitting(sheet, *name.partition("-")[::2])
    return sheet.finish("", words)


def _fitting(sheet: Sheet, name: str, place: str) -> None:
    pen = Pen(sheet, _AXIS, _TOP, 1, _SCALE, _WIRE)
    kind = _KINDS.get(name, name)
    member = Member(kind, 0.0, _LENGTH, {"depth": 18.0, **_SIZES.get(name, {})}, "")
    (HARDWARE.get(kind) or TERMINALS[kind])(pen, member)
    if name != "shackle":
        end = {"thimble_eye": 59.0}.get(name, _LENGTH)
        pen.moved(end).box(0.0, 60.0 - end if end > 50 else 8.0, _WIRE / 2)
    if place and place != "bearing":
        _datum(pen, _along(pen, name, place))


def _along(pen: Pen, name: str, place: str) -> float:
    """Where a place lies, mm from the bearing toward the wire; as the signs are drawn."""
    pin = pin_of(pen, _LENGTH)
    if name == "shackle":
        pin = 1.9 * _WIRE
        return {"pin_centre": -pin / 2, "pin_outside": -pin}[place]
    if name == "ball":
        radius = _BALL * _WIRE
        return {"ball_centre": -0.8 * radius, "outer_tip": -1.8 * radius}[place]
    tip = -0.55 * pin if name == "eye" else -0.7 * pin
    return {"pin_centre": 0.5 * pin, "hole_centre": 0.5 * pin, "pin_inside": pin, "outer_tip": tip, "stud_tip": -0.6 * _WIRE}[place]


def _datum(pen: Pen, along: float) -> None:
    pen.outline([(along, -24.0), (along, 24.0)], closed=False, stroke_width=1.6, stroke_dasharray="6 3", class_="datum")


def _turnbuckle(sheet: Sheet, language: str) -> None:
    pen, at = Pen(sheet, _AXIS, 14.0, 1, 1.7, _WIRE), 0.0
    pen.box(0.0, 8.0, _WIRE / 2)
    for kind, length in (("stem", 8.0), ("thread", 16.0), ("open body", 44.0), ("thread", 16.0), ("stem", 8.0)):
        if kind == "stem":
            pen.moved(at).box(0.0, length, 0.8 * _WIRE)
        else:
            HARDWARE[kind](pen.moved(at), Member(kind, 0.0, length, {"inside": 16.0}, ""))
        at += length
    say = translator(language)
    for start, words in ((8.0, say(N_("upper"))), (68.0, say(N_("lower")))):
        top, bottom = (14.0 + 1.7 * along for along in (start, start + 16.0))
        for y in (top, bottom):
            sheet.line(_AXIS + 10, y, _AXIS + 40, y, stroke_width=0.6)
        standing(sheet, _AXIS + 36, top, bottom)
        sheet.text(_AXIS + 44, (top + bottom) / 2 + 4, words, 11.0, 54.0)

"""A boat's rig to choose a wire from: shrouds and lifelines as seen from astern, and below them, from the side, the stays.

The project's own drawing, of no boat in particular, in user units of which a telephone of 320 px shows one as a pixel: no two places to tap
are closer than a finger needs (44).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, TypeAlias

from service.web_form.ask_place import PLACE
from service.web_form.asking import N_, Choice, Question

Point: TypeAlias = tuple[float, float]
WIDTH, HEIGHT = 288, 390
SAYS = N_("A rig: shrouds and lifelines as seen from astern, port on the left; below them the stays from the side, the bow on the left.")
_LABELS = (
    (N_("Port"), 4, 14, "start"), (N_("Starboard"), 284, 14, "end"), (N_("Bow"), 52, 387, "start"), (N_("Stern"), 246, 387, "end"),
)  # fmt: skip
_MAST, _HEAD = 144.0, 12.0
_UPPER, _LOWER = (98.0, 78.0), (78.0, 134.0)  # the spreaders' tips, to port
_ROOT, _LOW_ROOT = (_MAST, _UPPER[1]), (_MAST, _LOWER[1])
_SIDE_HEAD = (184.0, 288.0)
#: Of each wire: its line, and where on it to tap. Those of a pair are drawn to port.
_PAIRS: dict[str, tuple[tuple[Point, ...], Point]] = {
    "cap_shroud": (((_MAST, _HEAD), _UPPER, _LOWER, (44, 248)), (121, 45)),
    "intermediate_shroud": ((_ROOT, _LOWER, (50, 249)), (111, 106)),
    "fore_lower": ((_LOW_ROOT, (112, 236)), (118, 217)),
    "lower_shroud": ((_LOW_ROOT, (66, 250)), (74, 238)),
    "aft_lower": ((_LOW_ROOT, (10, 262)), (23, 250)),
    "lifeline_upper": (((4, 303), (46, 291)), (24, 297)),
    "lifeline_lower": (((4, 348), (46, 336)), (24, 342)),
}
_MIDDLE: dict[str, tuple[tuple[Point, ...], Point]] = {
    "forestay": ((_SIDE_HEAD, (54, 366)), (80, 350)),
    "inner_forestay": (((184, 310), (102, 366)), (126, 350)),
    "babystay": (((184, 334), (162, 366)), (172, 352)),
    "backstay": ((_SIDE_HEAD, (242, 366)), (216, 331)),
}


def spot(value: str) -> tuple[float, float] | None:
    """Where on the drawing a place is tapped, in its units; None if it is not on it."""
    role, _, side = value.partition(" ")
    if role in _MIDDLE:
        return _MIDDLE[role][1]
    return _turned(_PAIRS[role][1], side) if role in _PAIRS else None


def drawn_on(question: Question) -> bool:
    """Whether the question's choices are places on the drawing."""
    return question.path == PLACE


def rig(values: list[str]) -> dict[str, Any]:
    """The drawing for these choices: its size, its text alternative, and shapes; those of a wire bear the number of its choice. Texts in English."""
    parts = [{**shape, "part": number} for number, value in enumerate(values) for shape in _wire(value)]
    return {"view_box": [0, 0, WIDTH, HEIGHT], "says": SAYS, "shapes": [*_boat(), *parts, *_words()]}


def spots_style(choices: Iterable[Choice]) -> str:
    """Where a page without scripts puts each place: lengths as shares of the width, as percentages of margins are."""
    rules = []
    for number, each in enumerate(choices, 1):
        if place := spot(str(each.value)):
            left, top = (f"calc({length / WIDTH:.3%} - 22px)" for length in place)
            rules.append(f".spot-{number} input {{ left: {left}; margin-top: {top}; }}\n")
    return "".join([*rules, f".tapped .spot label {{ margin-top: {HEIGHT / WIDTH:.3%}; }}\n"])


def _wire(value: str) -> Iterator[dict[str, Any]]:
    role, _, side = value.partition(" ")
    line = _MIDDLE[role][0] if role in _MIDDLE else _PAIRS[role][0] if role in _PAIRS else ()
    if line:
        yield _path("M" + "L".join(f"{x:g} {y:g}" for x, y in (_turned(each, side) for each in line)), "wire", 1.4)


def _boat() -> Iterator[dict[str, Any]]:
    """Mast, spreaders, deck and stanchions from astern; mast and hull from the side."""
    yield _path("M2 262C60 222 228 222 286 262C228 278 60 278 2 262Z", "ink", 1.6)
    yield _path(f"M{_MAST:g} {_HEAD - 4:g}L{_MAST:g} 240", "ink", 5)
    for tip in (_UPPER, _LOWER):
        yield _path(f"M{tip[0]:g} {tip[1]:g}L{_MAST * 2 - tip[0]:g} {tip[1]:g}", "ink", 2.6)
    for side in ("port", "starboard"):
        x = _turned((24, 0), side)[0]
        yield _path(f"M{x:g} 290L{x:g} 370", "ink", 3)
        yield _path(f"M{_turned((4, 0), side)[0]:g} 374L{_turned((46, 0), side)[0]:g} 364", "ink", 1.6)
    yield _path("M184 284L184 366", "ink", 4)
    yield _path("M52 366L244 366L238 377L72 377Z", "ink", 1.6)


def _words() -> Iterator[dict[str, Any]]:
    for text, x, y, anchor in _LABELS:
        yield {"shape": "text", "class": "label", "x": x, "y": y, "size": 12, "anchor": anchor, "room": 90, "text": text}


def _path(data: str, named: str, width: float) -> dict[str, Any]:
    return {"shape": "path", "class": named, "d": data, "fill": "none", "stroke": "ink", "line_width": width}


def _turned(point: Point, side: str) -> Point:
    """A place to port, or as far to starboard."""
    return (2 * _MAST - point[0], point[1]) if side == "starboard" else point

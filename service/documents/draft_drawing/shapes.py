"""A drawing as shapes: objects of a closed list, with numbers and words of closed lists alone, from which a client builds its own nodes."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from service.documents.svg.lettering import legal
from service.documents.svg.paper import Paper, Sheet

Shape = dict[str, Any]
WIDTH = 240.0
_PAPER = Paper(WIDTH, 80, 254, "")
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
_CLASSES = {
    "hidden": "hidden", "centre": "centre", "bearing": "bearing", "dimension": "dimension", "extension": "dimension", "arrow": "dimension",
    "leader": "dimension", "lay": "wire", "break": "wire",
}  # fmt: skip
_OF_THE_KNOWN = ("hidden", "centre", "bearing", "thread", "lay")  # classes that say more than an outline does
_TONES = {"#fff": "paper", "#000": "ink", "none": "none"}
_SIZES = {
    "line": ("x1", "y1", "x2", "y2"),
    "rect": ("x", "y", "width", "height"),
    "circle": ("cx", "cy", "r"),
}


class Shapes(Sheet):
    """A sheet that keeps its shapes. `about` is the part that they belong to; what is not `known` is drawn as an outline alone."""

    def __init__(self) -> None:
        super().__init__("", _PAPER)
        self.shapes: list[Shape] = []
        self._about: dict[str, Any] = {}
        self._known, self._class = True, ""

    @contextmanager
    def of(self, part: int | None = None, *, known: bool = True, named: str = "") -> Iterator[None]:
        """Whatever is drawn meanwhile belongs to that part; `named` is its class, whatever it would be."""
        before = self._about, self._known, self._class
        self._about, self._known, self._class = {} if part is None else {"part": part}, known, named
        yield
        self._about, self._known, self._class = before

    def shape(self, name: str, **values: object) -> None:
        """Keep a shape."""
        drawn = str(values.get("class_", ""))
        if not self._known and drawn in _OF_THE_KNOWN:
            return
        usual = _CLASSES.get(drawn, "ink" if self._known else "outline")
        made: Shape = {"shape": name, "class": self._class or usual, **self._about}
        if name == "path":
            made["d"] = _NUMBER.sub(lambda found: _tenth(float(found[0])), str(values["d"]))
        else:
            made |= {each: round(float(str(values[each])), 1) for each in _SIZES[name]}
        made["fill"] = "none" if name == "line" else _TONES[str(values.get("fill", "#000"))]
        made["stroke"] = _TONES[str(values.get("stroke", "none"))]
        if made["stroke"] != "none":
            made["line_width"] = round(float(str(values.get("stroke_width", 1))), 1)
        self.shapes.append(made)

    def text_as(
        self, x: float, baseline: float, line: str, whole: str, size: float, room: float, anchor: str = "start", bold: bool = False
    ) -> None:
        """Keep a line of text. A client's letters may be wider: it may narrow them to their `room`."""
        words = legal(line).replace("\u2068", "").replace("\u2069", "")
        place = {"x": round(x, 1), "y": round(baseline, 1), "size": size, "anchor": anchor, "room": round(room, 1)}
        self.shapes.append({"shape": "text", "class": self._class or "label", **self._about, **place, "text": words})

    def open(self, name: str, **values: object) -> None:
        """Shapes stand in no groups."""

    def close(self, name: str) -> None:
        """Shapes stand in no groups."""


def _tenth(value: float) -> str:
    text = f"{value:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text

"""A sheet of paper as SVG: pages of one size under each other, drawn from the top.

A page is as wide as US Letter and as high as A4, both lying, so it prints on either at full size; no block is cut by the end of a page.
Text is black on white, in the reader's own sans-serif face. No script, no reference to anything outside.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

from .lettering import Name, fit, isolated, legal, shown, wrap

WIDTH = 960.0  # 254 mm
PAGE_MM = 185  # 210 mm less two margins of 12.5 mm
PAGE = PAGE_MM / 25.4 * 96
LEFT, RIGHT = 8.0, 952.0
ROOM = RIGHT - LEFT
_HEAD, _FOOT = 8.0, 18.0
_STYLE = "@page{size:279mm 210mm;margin:12.5mm 12.5mm 12.4mm}"  # 12.4: a rounding of the printer must not push a page over


def number(value: float) -> str:
    """A coordinate to 0.0001 px: at 300 m on one bar that is 0.03 mm of wire."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _attributes(values: dict[str, object]) -> str:
    texts = (
        (name.rstrip("_").replace("_", "-"), number(value) if isinstance(value, float) else str(value)) for name, value in values.items()
    )
    return "".join(f' {name}="{escape(legal(text))}"' for name, text in texts)


def _plain(line: str) -> str:
    return line.replace("\u2068", "").replace("\u2069", "")


class Sheet:
    """Elements in the order they were drawn, and how far down the sheet is taken."""

    def __init__(self, title: str) -> None:
        self.title = title
        self.parts: list[str] = []
        self.y = 0.0

    def take(self, height: float) -> float:
        """The top of a free strip of this height, on the next page where it would be cut; a strip higher than a page starts where it is."""
        page_end = (self.y // PAGE + 1) * PAGE
        if self.y + height > page_end - _FOOT and height <= PAGE - _HEAD - _FOOT:
            self.y = page_end + _HEAD
        top = self.y
        self.y += height
        return top

    def take_block(self, height: float) -> float:
        """Go to the next page unless so much is free on this one; takes nothing. Returns where the sheet stands."""
        top = self.take(height)
        self.y = top
        return top

    def take_together(self, atoms: Sequence[str | Name], size: float, below: float) -> None:
        """Lines of text that stay on one page with `below` px of drawing."""
        self.take_block(len(wrap(atoms, ROOM, size)) * 1.4 * size + below)
        self.lines(atoms, size)

    def gap(self, height: float) -> None:
        """Leave room, except at the top of a page."""
        if self.y % PAGE > _HEAD:
            self.y += height

    def shape(self, name: str, **values: object) -> None:
        """An empty element; underscores in names become hyphens, one at the end goes (`class_`)."""
        self.parts.append(f"<{name}{_attributes(values)}/>")

    def rect(self, x: float, y: float, width: float, height: float, **values: object) -> None:
        """A rectangle."""
        self.shape("rect", x=x, y=y, width=width, height=height, **values)

    def line(self, x1: float, y1: float, x2: float, y2: float, **values: object) -> None:
        """A black line, 0.7 px wide unless told otherwise."""
        self.shape("line", x1=x1, y1=y1, x2=x2, y2=y2, **{"stroke": "#000", "stroke_width": "0.7", **values})

    def text(self, x: float, baseline: float, said: str, size: float, room: float, anchor: str = "start", bold: bool = False) -> None:
        """One line in `room` px from `x` (or about it, or up to it), shortened to that room; what is shortened is whole in its title."""
        self.text_as(x, baseline, isolated(fit(said, room, size, bold)), said, size, room, anchor, bold)

    def text_as(
        self, x: float, baseline: float, line: str, whole: str, size: float, room: float, anchor: str = "start", bold: bool = False
    ) -> None:
        """A line made ready by the caller, clipped to its room, with the whole text in its title where they differ."""
        left = {"start": x, "middle": x - room / 2, "end": x - room}[anchor]
        self.open("svg", x=left, y=baseline - 1.15 * size, width=room, height=1.6 * size)
        values = {"x": x - left, "y": 1.15 * size, "font_size": size, "text_anchor": anchor, **({"font_weight": "bold"} if bold else {})}
        title = f"<title>{escape(legal(whole))}</title>" if _plain(line) != shown(whole) else ""
        self.parts.append(f"<text{_attributes(values)}>{title}{escape(line)}</text>")
        self.close("svg")

    def lines(self, atoms: Iterable[str | Name], size: float, bold: bool = False, most: int = 1000) -> None:
        """Words and names in as many lines as they take."""
        for line in wrap(atoms, ROOM, size, bold, most):
            top = self.take(1.4 * size)
            self.text_as(LEFT, top + 1.1 * size, line.set, line.whole, size, ROOM, bold=bold)

    def open(self, name: str, **values: object) -> None:
        """Begin an element."""
        self.parts.append(f"<{name}{_attributes(values)}>")

    def close(self, name: str) -> None:
        """End it."""
        self.parts.append(f"</{name}>")

    def finish(self, definitions: str, description: str) -> bytes:
        """The sheet as a document with a text alternative, in UTF-8."""
        pages = int(self.y // PAGE) + 1
        if pages > 1:
            for page in range(1, pages + 1):
                foot = PAGE * page - 5 if page < pages else self.y + _FOOT - 5
                self.text(RIGHT, foot, f"page {page} of {pages}", 9.0, 120.0, "end")
                self.text(LEFT, foot, self.title, 9.0, 700.0)
        height = self.y + _FOOT
        head: dict[str, object] = {
            "xmlns": "http://www.w3.org/2000/svg", "width": "254mm", "height": f"{number(height / 96 * 25.4)}mm", "viewBox": f"0 0 960 {number(height)}",
            "role": "img", "aria_labelledby": "cutting-plan-title cutting-plan-words", "font_family": "sans-serif", "fill": "#000", "direction": "ltr",
        }  # fmt: skip
        start = [
            '<?xml version="1.0" encoding="UTF-8"?>',
            f"<svg{_attributes(head)}>",
            f'<title id="cutting-plan-title">{escape(legal(self.title))}</title>',
            f'<desc id="cutting-plan-words">{escape(legal(description))}</desc>',
            f"<style>{_STYLE}</style>",
            f"<defs>{definitions}</defs>",
            f'<rect width="960" height="{number(height)}" fill="#fff"/>',
        ]
        return "\n".join([*start, *self.parts, "</svg>", ""]).encode("utf-8")

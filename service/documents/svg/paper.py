"""A paper sheet as SVG: pages of equal size below each other, drawn from the top.

A page fits both US Letter and A4, so it prints on either at full size; no block is cut by a page break. Text is black on white, in
a common sans-serif typeface or the reader's own. No scripts, no external references; plain SVG 1.1, which printers' renderers read
too.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from html import escape

from .lettering import Name, face_for, fit, isolated, legal, shown, width, wrap


@dataclass(frozen=True, slots=True)
class Paper:
    """A page: its width in px of the drawing and in mm of the print, its height in mm, and the CSS `@page` rule with its margins."""

    width: float
    width_mm: int
    page_mm: int
    style: str

    @property
    def page(self) -> float:
        """Height of a page, px of the drawing."""
        return self.page_mm * self.width / self.width_mm

    @property
    def right(self) -> float:
        """Right edge of the drawing area, px."""
        return self.width - LEFT

    @property
    def room(self) -> float:
        """Width of the drawing area, px."""
        return self.width - 2 * LEFT


LEFT = 8.0
# Landscape, 210 mm high less two margins of 12.5 mm; 12.4 so that rounding in the printer does not cause an extra page
LYING = Paper(960.0, 254, 185, "@page{size:279mm 210mm;margin:12.5mm 12.5mm 12.4mm}")
# Portrait, narrow enough to be read on a telephone without zooming, and as wide as A4 with margins in print
STANDING = Paper(560.0, 186, 254, "@page{size:210mm 279mm;margin:12.5mm 12mm 12.4mm}")
WIDTH, PAGE, RIGHT, ROOM = LYING.width, LYING.page, LYING.right, LYING.room
FONTS = "Noto Sans, DejaVu Sans, sans-serif"
_HEAD, _FOOT = 8.0, 18.0
_FINER = re.compile(r"(?<=\.[0-9])[0-9]{1,3}")
PAGES = "page %(page)s of %(pages)s"


def number(value: float) -> str:
    """A coordinate to 0.0001 px: at 300 m on one bar that is 0.03 mm of wire."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _attributes(values: dict[str, object]) -> str:
    return "".join([f" {_hyphened(name)}={_quoted(value)}" for name, value in values.items()])


@cache
def _hyphened(name: str) -> str:
    return name.rstrip("_").replace("_", "-")


def _quoted(value: object) -> str:
    return f'"{number(value)}"' if isinstance(value, float) else _escaped(str(value))


@lru_cache(maxsize=1024)
def _escaped(text: str) -> str:
    """A drawing repeats a few colours, widths and anchors thousands of times."""
    return f'"{escape(legal(text))}"'


def _tenths(value: object) -> str:
    if isinstance(value, float):
        return f"{value:.1f}".removesuffix(".0")
    return _FINER.sub("", str(value))


def _plain(line: str) -> str:
    return line.replace("\u2068", "").replace("\u2069", "")


class Sheet:
    """The elements in drawing order, and how far down the sheet is filled."""

    def __init__(self, title: str, paper: Paper = LYING, name: str = "cutting-plan", pages: str = PAGES) -> None:
        """`name` is the prefix of the ids within the drawing, `pages` what numbers its pages, in its language."""
        self.title = title
        self.paper = paper
        self.name = name
        self.numbering = pages
        self.parts: list[str] = []
        self.y = 0.0
        self.foot_free = 0.0  # px kept free at the foot of the first page, for a title block

    def take(self, height: float) -> float:
        """The top of a free strip of this height, on the next page if it would be cut; a strip higher than a page starts at the
        current position.
        """
        page = self.paper.page
        if not self.holds(height) and (self._free or height <= page - _HEAD - _FOOT):
            self.y = (self.y // page + 1) * page + _HEAD
        top = self.y
        self.y += height
        return top

    def holds(self, height: float) -> bool:
        """Whether the current page has room for this much."""
        return self.y + height <= (self.y // self.paper.page + 1) * self.paper.page - _FOOT - self._free

    @property
    def _free(self) -> float:
        return self.foot_free if self.y < self.paper.page else 0.0

    @property
    def pages(self) -> int:
        """The number of pages filled so far."""
        return int(self.y // self.paper.page) + 1

    def foot_of_first(self, whole: bool) -> float:
        """The top of what was kept free at the foot of the first page: of a `whole` page, else right below what is drawn if that is all."""
        if self.pages == 1:
            self.y = self.paper.page - _FOOT if whole else self.y + self.foot_free
            return self.y - self.foot_free
        return self.paper.page - _FOOT - self.foot_free

    def take_block(self, height: float) -> float:
        """Move to the next page unless this much is free on the current one, without reserving it. Returns the current position."""
        top = self.take(height)
        self.y = top
        return top

    def take_together(self, atoms: Sequence[str | Name], size: float, below: float) -> None:
        """Write lines of text that stay on one page with `below` px of drawing."""
        self.take_block(len(wrap(atoms, self.paper.room, size)) * 1.4 * size + below)
        self.lines(atoms, size)

    def gap(self, height: float) -> None:
        """Leave space, except at the top of a page."""
        if self.y % self.paper.page > _HEAD:
            self.y += height

    def shape(self, name: str, **values: object) -> None:
        """Add an empty element; underscores in names become hyphens, a trailing one is dropped (`class_`)."""
        self.parts.append(f"<{name}{_attributes(values)}/>")

    def rect(self, x: float, y: float, width: float, height: float, **values: object) -> None:
        """Draw a rectangle."""
        self.shape("rect", x=x, y=y, width=width, height=height, **values)

    def line(self, x1: float, y1: float, x2: float, y2: float, **values: object) -> None:
        """Draw a black line, 0.7 px wide by default."""
        self.shape("line", x1=x1, y1=y1, x2=x2, y2=y2, **{"stroke": "#000", "stroke_width": "0.7", **values})

    def text(self, x: float, baseline: float, said: str, size: float, room: float, anchor: str = "start", bold: bool = False) -> None:
        """Write one line within `room` px from `x` (or centred on it, or ending at it), shortened to fit; its title then has the full
        text.
        """
        self.text_as(x, baseline, isolated(fit(said, room, size, bold)), said, size, room, anchor, bold)

    def text_as(
        self, x: float, baseline: float, line: str, whole: str, size: float, room: float, anchor: str = "start", bold: bool = False
    ) -> None:
        """Write a line prepared by the caller, clipped to its room, with the full text as its title if they differ."""
        left = {"start": x, "middle": x - room / 2, "end": x - room}[anchor]
        self.open("svg", x=left, y=baseline - 1.15 * size, width=room, height=1.6 * size)
        values = {"x": x - left, "y": 1.15 * size, "font_size": size, "text_anchor": anchor, **({"font_weight": "bold"} if bold else {})}
        title = f"<title>{escape(legal(whole))}</title>" if _plain(line) != shown(whole) else ""
        self.parts.append(f"<text{_attributes(values)}>{title}{escape(line)}</text>")
        self.close("svg")

    def figure(self, x: float, baseline: float, said: str, size: float, room: float, anchor: str = "start") -> None:
        """Write a figure, bold if there is room, never shortened: set smaller if necessary."""
        face = face_for(said, room - 1, size)
        self.text(x, baseline, said, face.size, min(room, width(said, face.size, face.bold) + 1), anchor, face.bold)

    def text_up(self, x: float, middle: float, said: str, size: float, room: float, bold: bool = False) -> None:
        """Write one line reading upward, its baseline at `x`, centred on `middle`: lettering along a vertical dimension line."""
        self.open("g", transform=f"rotate(-90 {number(x)} {number(middle)})")
        self.text(x, middle, said, size, room, "middle", bold)
        self.close("g")

    def lines(self, atoms: Iterable[str | Name], size: float, bold: bool = False, most: int = 1000, indent: float = 0.0) -> None:
        """Write words and names on as many lines as they need."""
        room = self.paper.room - indent
        for line in wrap(atoms, room, size, bold, most):
            top = self.take(1.4 * size)
            self.text_as(LEFT + indent, top + 1.1 * size, line.set, line.whole, size, room, bold=bold)

    def open(self, name: str, **values: object) -> None:
        """Begin an element."""
        self.parts.append(f"<{name}{_attributes(values)}>")

    def close(self, name: str) -> None:
        """End an element."""
        self.parts.append(f"</{name}>")

    def finish(self, definitions: str, description: str, left: float = 0.0, foot: float = _FOOT) -> bytes:
        """The sheet, from `left` px and with `foot` px below, as an SVG document with a text alternative, in UTF-8."""
        paper, shown_width = self.paper, self.paper.width - left
        self._feet()
        height = self.y + foot
        head: dict[str, object] = {
            "xmlns": "http://www.w3.org/2000/svg", "width": f"{number(shown_width / paper.width * paper.width_mm)}mm", "height": f"{number(height / paper.width * paper.width_mm)}mm",
            "viewBox": f"{number(left)} 0 {number(shown_width)} {number(height)}", "role": "img", "aria_labelledby": f"{self.name}-title {self.name}-words",
            "font_family": FONTS, "fill": "#000", "direction": "ltr",
        }  # fmt: skip
        start = [
            '<?xml version="1.0" encoding="UTF-8"?>',
            f"<svg{_attributes(head)}>",
            f'<title id="{self.name}-title">{escape(legal(self.title))}</title>',
            f'<desc id="{self.name}-words">{escape(legal(description))}</desc>',
            f"<style>{paper.style}</style>",
            f"<defs>{definitions}</defs>",
            f'<rect width="{number(paper.width)}" height="{number(height)}" fill="#fff"/>',
        ]
        return "\n".join([*start, *self.parts, "</svg>", ""]).encode("utf-8")

    def _feet(self) -> None:
        """Write the title and number of each page if there is more than one."""
        paper = self.paper
        pages = self.pages
        for page in range(1, pages + 1) if pages > 1 else ():
            foot = paper.page * page - 5 if page < pages else self.y + _FOOT - 5
            self.text(paper.right, foot, self.numbering % {"page": page, "pages": pages}, 9.0, 120.0, "end")
            self.text(LEFT, foot, self.title, 9.0, paper.room - 244.0)


class Small(Sheet):
    """A sheet for a small picture without lettering: to a tenth of a pixel, and what most lines have in common is said once, which makes it
    half as long.
    """

    COMMON: Mapping[str, str] = {"stroke": "#000", "stroke_width": "1.2", "stroke_linejoin": "round"}

    def shape(self, name: str, **values: object) -> None:
        """Add an empty element, as in `Sheet`, but without a class."""
        short = {"stroke": "none"} | {key: _tenths(value) for key, value in values.items() if key != "class_"}
        super().shape(name, **{key: value for key, value in short.items() if self.COMMON.get(key) != value})

    def picture(self, left: float, right: float) -> bytes:
        """What was drawn between `left` and `right` px, as an SVG document in UTF-8. Its text alternative is of who shows it."""
        wide, scale = right - left, self.paper.width_mm / self.paper.width
        head: dict[str, object] = {
            "xmlns": "http://www.w3.org/2000/svg",
            "width": f"{number(wide * scale)}mm",
            "height": f"{number(self.y * scale)}mm",
            "viewBox": f"{number(left)} 0 {number(wide)} {number(self.y)}",
            **self.COMMON,
        }
        return "".join([f"<svg{_attributes(head)}>", *self.parts, "</svg>"]).encode()

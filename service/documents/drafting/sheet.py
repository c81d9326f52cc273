"""A sheet of paper as SVG: pages of one size under each other, drawn from the top.

A page fits both US Letter and A4, so it prints on either at full size; no block is cut by the end of a page.
Text is black on white, in the reader's own sans-serif face. No script, no reference to anything outside.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape

from .lettering import Name, face_for, fit, isolated, legal, shown, width, wrap


@dataclass(frozen=True, slots=True)
class Paper:
    """A page: its width in px of the drawing and in mm of the print, its height in mm, and the printer's page with its margins."""

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
        """Right edge of what is drawn, px."""
        return self.width - LEFT

    @property
    def room(self) -> float:
        """Width of what is drawn, px."""
        return self.width - 2 * LEFT


LEFT = 8.0
# Lying, 210 mm high less two margins of 12.5 mm; 12.4: a rounding of the printer must not push a page over
LYING = Paper(960.0, 254, 185, "@page{size:279mm 210mm;margin:12.5mm 12.5mm 12.4mm}")
# Standing, narrow enough for a telephone to show without a magnifier and as wide as A4 with margins in print
STANDING = Paper(560.0, 186, 254, "@page{size:210mm 279mm;margin:12.5mm 12mm 12.4mm}")
WIDTH, PAGE, RIGHT, ROOM = LYING.width, LYING.page, LYING.right, LYING.room
_HEAD, _FOOT = 8.0, 18.0


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

    def __init__(self, title: str, paper: Paper = LYING, name: str = "cutting-plan") -> None:
        """`name` begins the ids within the drawing."""
        self.title = title
        self.paper = paper
        self.name = name
        self.parts: list[str] = []
        self.y = 0.0

    def take(self, height: float) -> float:
        """The top of a free strip of this height, on the next page where it would be cut; a strip higher than a page starts where it is."""
        page = self.paper.page
        page_end = (self.y // page + 1) * page
        if self.y + height > page_end - _FOOT and height <= page - _HEAD - _FOOT:
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
        self.take_block(len(wrap(atoms, self.paper.room, size)) * 1.4 * size + below)
        self.lines(atoms, size)

    def gap(self, height: float) -> None:
        """Leave room, except at the top of a page."""
        if self.y % self.paper.page > _HEAD:
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

    def figure(self, x: float, baseline: float, said: str, size: float, room: float, anchor: str = "start") -> None:
        """A figure, bold where there is room, never shortened: set smaller where it must be."""
        face = face_for(said, room - 1, size)
        self.text(x, baseline, said, face.size, min(room, width(said, face.size, face.bold) + 1), anchor, face.bold)

    def text_up(self, x: float, middle: float, said: str, size: float, room: float, bold: bool = False) -> None:
        """One line read from below upward, its baseline at `x`, about `middle`: lettering along a standing dimension line."""
        self.open("g", transform=f"rotate(-90 {number(x)} {number(middle)})")
        self.text(x, middle, said, size, room, "middle", bold)
        self.close("g")

    def lines(self, atoms: Iterable[str | Name], size: float, bold: bool = False, most: int = 1000, indent: float = 0.0) -> None:
        """Words and names in as many lines as they take."""
        room = self.paper.room - indent
        for line in wrap(atoms, room, size, bold, most):
            top = self.take(1.4 * size)
            self.text_as(LEFT + indent, top + 1.1 * size, line.set, line.whole, size, room, bold=bold)

    def open(self, name: str, **values: object) -> None:
        """Begin an element."""
        self.parts.append(f"<{name}{_attributes(values)}>")

    def close(self, name: str) -> None:
        """End it."""
        self.parts.append(f"</{name}>")

    def finish(self, definitions: str, description: str, left: float = 0.0, foot: float = _FOOT) -> bytes:
        """The sheet, from `left` px on and with `foot` px below, as a document with a text alternative, in UTF-8."""
        paper, shown_width = self.paper, self.paper.width - left
        self._feet()
        height = self.y + foot
        head: dict[str, object] = {
            "xmlns": "http://www.w3.org/2000/svg", "width": f"{number(shown_width / paper.width * paper.width_mm)}mm", "height": f"{number(height / paper.width * paper.width_mm)}mm",
            "viewBox": f"{number(left)} 0 {number(shown_width)} {number(height)}", "role": "img", "aria_labelledby": f"{self.name}-title {self.name}-words",
            "font_family": "sans-serif", "fill": "#000", "direction": "ltr",
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
        """Title and number of each page where there is more than one."""
        paper = self.paper
        pages = int(self.y // paper.page) + 1
        for page in range(1, pages + 1) if pages > 1 else ():
            foot = paper.page * page - 5 if page < pages else self.y + _FOOT - 5
            self.text(paper.right, foot, f"page {page} of {pages}", 9.0, 120.0, "end")
            self.text(LEFT, foot, self.title, 9.0, paper.room - 244.0)

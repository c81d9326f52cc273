"""Text in any script: what XML allows, how wide it can be, and how to make it fit.

The reader's sans-serif typeface is not known. Widths are upper bounds, in em, over common typefaces (from memory for those not at
hand); a line that a rarer typeface sets even wider is clipped by the sheet.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from functools import lru_cache
from typing import NamedTuple

ELLIPSIS = "…"
_ILLEGAL = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")  # XML 1.0, production 2: Char
_UNSHOWN = re.compile(
    "[\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069\ufff9-\ufffb\U000e0000-\U000e007f]"
)  # control characters, including those for direction
_MARKS = 3  # combining marks per letter; more would run into the line above
_BOLD = 1.14
_LONG_WORD, _PART = 60, 24  # characters
_BY_WIDTH = {  # em; the widest of DejaVu Sans, Verdana and Helvetica
    0.29: "il'", 0.37: " .,fj·", 0.46: "tr;:!|/\\-()[]I", 0.65: '"abcdeghknopqsuvxyz0123456789{}`*$?_J', 0.73: "ABCEFKLPRSTVXYZ",
    0.8: "DGHNOQU", 0.86: "wM+<=>~#^&×", 1.0: "mW…–—", 1.08: "%@",
}  # fmt: skip
_USUAL = {character: em for em, characters in _BY_WIDTH.items() for character in characters}
_LONG_SIGNS = dict.fromkeys("\ufdfa\ufdfb\ufdfd\u2e3a\u2e3b\ua9c5\U0001242b", 12.0)  # single characters shown as whole words or very wide


def legal(text: str) -> str:
    """Text without characters that XML 1.0 does not allow."""
    return _ILLEGAL.sub("", text)


@lru_cache(maxsize=4096)
def shown(text: str) -> str:
    """Text on one line: any whitespace becomes one space, control characters are removed, excessive combining marks are reduced."""
    kept: list[str] = []
    marks = 0
    for character in " ".join(_UNSHOWN.sub("", legal(_ends_of_lines(text))).split()):
        marks = marks + 1 if unicodedata.category(character) in {"Mn", "Me"} else 0
        if marks <= _MARKS:
            kept.append(character)
    return "".join(kept)


def _ends_of_lines(text: str) -> str:
    return re.sub("[\x0b\x0c\x1c-\x1f\x85]", " ", text)


@lru_cache(maxsize=4096)
def _em(character: str) -> float:
    if character in _USUAL:
        return _USUAL[character]
    if character in _LONG_SIGNS:
        return _LONG_SIGNS[character]
    category = unicodedata.category(character)
    if category in {"Mn", "Me", "Cf"}:
        return 0.0
    if category == "So" or ord(character) >= 0x1F000:
        return 1.4  # pictographs
    if unicodedata.east_asian_width(character) in "WF":
        return 1.05
    if ord(character) < 0x250 or unicodedata.bidirectional(character) in {"R", "AL", "AN"}:
        return 0.9
    return 0.95 if character.islower() else 1.15


def width(text: str, size: float, bold: bool = False) -> float:
    """An upper bound for the width of `text`, px, at a font size in px."""
    return _ems(text) * size * (_BOLD if bold else 1.0)


@lru_cache(maxsize=4096)
def _ems(text: str) -> float:
    return sum(map(_em, text))


def fit(text: str, room: float, size: float, bold: bool = False) -> str:
    """`text` on one line of at most `room` px, if necessary cut with an ellipsis; empty if not even that fits."""
    line = shown(text)
    if width(line, size, bold) <= room:
        return line
    left = room - width(ELLIPSIS, size, bold)
    taken = 0
    for character in line:
        left -= width(character, size, bold)
        if left < 0:
            break
        taken += 1
    cut = line[:taken].rstrip(" \u200d")
    return cut + ELLIPSIS if cut else ""


class Face(NamedTuple):
    """A font size in px, and whether it is bold."""

    size: float
    bold: bool


def face_for(figure: str, room: float, size: float) -> Face:
    """The largest face, bold if possible, in which a figure fits completely: a truncated figure would be a different figure."""
    for face in (Face(size, True), Face(size, False), *(Face(size * share, False) for share in (0.9, 0.8, 0.7, 0.6))):
        if width(figure, face.size, face.bold) <= room:
            return face
    return Face(size * room / max(width(figure, size), room), False)


def isolated(text: str) -> str:
    """Right-to-left text, isolated so that it does not reorder its surroundings (UAX 9: FSI … PDI)."""
    if not text.isascii() and any(unicodedata.bidirectional(character) in {"R", "AL", "AN"} for character in text):
        return f"\u2068{text}\u2069"
    return text


class Name(NamedTuple):
    """A name that must not be broken, with adjacent punctuation that is not part of it."""

    text: str
    before: str = ""
    after: str = ""

    def fitted(self, room: float, size: float, bold: bool) -> str:
        """The name shortened to a width, isolated so that it does not reorder its surroundings."""
        around = width(self.before + self.after, size, bold)
        return f"{self.before}{isolated(fit(self.text, room - around, size, bold))}{self.after}"


class Line(NamedTuple):
    """A line as set, and its full text."""

    set: str
    whole: str


def wrap(atoms: Iterable[str | Name], room: float, size: float, bold: bool = False, most: int = 1000) -> list[Line]:
    """Break words and names into at most `most` lines of at most `room` px; names are not broken, only cut if one alone is too long."""
    lines: list[Line] = []
    for atom in atoms:
        name = Name(atom) if isinstance(atom, str) else atom
        piece, whole = name.fitted(room, size, bold), shown(f"{name.before}{name.text}{name.after}")
        if lines and width(f"{lines[-1].set} {piece}", size, bold) <= room:
            lines[-1] = Line(f"{lines[-1].set} {piece}", f"{lines[-1].whole} {whole}")
        elif piece:
            lines.append(Line(piece, whole))
    if len(lines) > most:
        kept = fit(lines[most - 1].set, room - width(f" {ELLIPSIS}", size, bold), size, bold)
        return [*lines[: most - 1], Line(f"{kept} {ELLIPSIS}", " ".join(line.whole for line in lines[most - 1 :]))]
    return lines


def sentence(text: str) -> list[str]:
    """The words of a message; a number stays with its unit, a word longer than 60 characters (scripts without spaces) is split."""
    words = re.split(r" (?!(?:(?:[0-9/]+ )?in|ft|mm|m)\b|%)", shown(text))
    return [part for word in words for part in _parts(word)]


def _parts(word: str) -> list[str]:
    return [word] if len(word) <= _LONG_WORD else [word[at : at + _PART] for at in range(0, len(word), _PART)]

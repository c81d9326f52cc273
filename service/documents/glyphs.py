"""Text as the fonts of this package can show it: PDF/UA-1 (ISO 14289-1, 7.21) forbids a character without a glyph.

A symbol that no font has is named in brackets, as `[sailboat]`, any other character becomes a box; nothing is dropped in silence but
what nobody sees.
"""

from __future__ import annotations

import re
import unicodedata
from functools import cache
from pathlib import Path
from typing import Any

from service.documents.csv.cells import plain

FONTS = Path(__file__).parent / "fonts"
COVERED = FONTS / "covered.txt"  # written by `python -m service.documents.fonts`
BOX = "▯"
_UNSEEN = re.compile("[\u00ad\u061c\u180e\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f\ufe00-\ufe0f\ufeff\U000e0000-\U000e0fff]")
_BREAK = "\u200b"
_LONG = re.compile(r"[^\s\u200b]{25,}")  # may be more than a column holds, without a place to break it
_PIECE = 8  # characters between two places, the widest of which go into any column
_WHOLE, _WHOLE_MOST = ("https://", "http://", "/v1/", "sha256:"), 300  # what people copy
_DRAWING = ("<?xml ", "<svg ")  # its own markup has long runs, and is ASCII; what is written in it has its place, where a name has no room
_MARKS = {"Mn", "Mc", "Me", "Cf"}  # Cf: what joins letters, and what keeps them apart
_SYMBOLS = {"Sc", "Sk", "Sm", "So"}


def shown(data: Any, *, simply: bool = False) -> Any:
    """A paper's texts and figures, nested in lists and dictionaries, with every text as the fonts can show it. `simply`: without marks
    that combine with a letter and have no character together with it, for clusters that no single font has.
    """
    if isinstance(data, str):
        return _text(data, simply=simply)
    if isinstance(data, dict):
        return {name: shown(value, simply=simply) for name, value in data.items()}
    if isinstance(data, list | tuple):
        return [shown(each, simply=simply) for each in data]
    return data


def _text(text: str, *, simply: bool) -> str:
    if text.isascii() and text.isprintable() and len(text) < 25:
        return text
    found = unicodedata.normalize("NFC", _UNSEEN.sub("", plain(text)))
    if simply:
        found = "".join(each for each in found if unicodedata.category(each) not in _MARKS)
    if found.startswith(_DRAWING):
        return _uncovered().sub(BOX, found)
    return _LONG.sub(_broken, _uncovered().sub(_instead, found))


def _broken(run: re.Match[str]) -> str:
    if run[0].startswith(_WHOLE) and len(run[0]) <= _WHOLE_MOST:
        return run[0]
    return _BREAK.join(run[0][at : at + _PIECE] for at in range(0, len(run[0]), _PIECE))


def _instead(run: re.Match[str]) -> str:
    character = run[0]
    named = unicodedata.name(character, "").lower() if unicodedata.category(character) in _SYMBOLS else ""
    return f"[{named}]" if named else BOX


@cache
def _uncovered() -> re.Pattern[str]:
    """Any character that no font of this package has, but white space."""
    covered = "".join(_span(*each.split("-")) for each in COVERED.read_text(encoding="ascii").split())
    return re.compile(rf"[^\s{covered}]")


def _span(first: str, last: str | None = None) -> str:
    return f"\\U{int(first, 16):08x}" + ("" if last is None else f"-\\U{int(last, 16):08x}")

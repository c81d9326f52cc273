"""Converts a cell to the value a JSON request would have."""

from __future__ import annotations

import re

from service.assembly_table.columns import COUNT, FLAG, LIST

_BETWEEN = re.compile(r"[|;\n]")
_FLAGS = {"yes": True, "true": True, "no": False, "false": False}


class NoFlag(ValueError):
    """A cell for a truth value that contains none."""


def value_of(cell: str, kind: str) -> object:
    """The value of a non-empty cell. Raises NoFlag; other text that is not a valid value is left for the schema to refuse."""
    text = cell.strip()
    if kind == FLAG:
        if text.casefold() not in _FLAGS:
            raise NoFlag
        return _FLAGS[text.casefold()]
    if kind == COUNT:
        return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else text
    if kind == LIST:
        return [part.strip() for part in _BETWEEN.split(text) if part.strip()]
    return text

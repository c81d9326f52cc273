"""One cell as the value that a JSON request would have."""

from __future__ import annotations

import re

from service.sheets.columns import COUNT, FLAG, LIST

_BETWEEN = re.compile(r"[|;\n]")
_FLAGS = {"yes": True, "true": True, "no": False, "false": False}


class NoFlag(ValueError):
    """A cell of a truth value that is none."""


def value_of(cell: str, kind: str) -> object:
    """The value of a cell that is not empty. Raises NoFlag; any other text that is no value of its field is left for the schema to refuse."""
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

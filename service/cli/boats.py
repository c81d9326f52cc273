"""The boats that a shop tries its tables on: its own requests from a file or a folder, or the invented demo boats."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from service.cli.out import Refused
from service.demo import demo_names, demo_request
from service.encoding import json

MOST_BOATS = 200
LINES = (".ndjson", ".jsonl")


class TypicalBoat(NamedTuple):
    """A request, and the name under which its effect is printed."""

    name: str
    body: bytes


def typical_boats(place: Path | None) -> list[TypicalBoat]:
    """The requests of a folder's JSON files, of the lines of an NDJSON file, or of a JSON file with one or a list of them; without a place the
    demo boats. Raises Refused, OSError.
    """
    if place is None:
        return [TypicalBoat(name, demo_request(name)) for name in demo_names()]
    files = sorted(place.glob("*.json")) if place.is_dir() else [place]
    boats = [boat for file in files for boat in _of_file(file)]
    if not boats:
        raise Refused(f"{place} holds no boats: it must have requests as JSON, a file or a line each.")
    if len(boats) > MOST_BOATS:
        raise Refused(f"{place} holds {len(boats)} boats; at most {MOST_BOATS} are tried: choose some that are typical.")
    return boats


def _of_file(file: Path) -> list[TypicalBoat]:
    content = file.read_bytes()
    if file.suffix.lower() in LINES:
        lines = [(number, line) for number, line in enumerate(content.splitlines(), 1) if line.strip()]
        return [TypicalBoat(f"{file.stem}, line {number}", json.write(_read(file, line, number))) for number, line in lines]
    value = _read(file, content)
    if isinstance(value, list):
        return [TypicalBoat(f"{file.stem}, item {number}", json.write(each)) for number, each in enumerate(value, 1)]
    return [TypicalBoat(file.stem, content)]


def _read(file: Path, content: bytes, line: int | None = None) -> object:
    try:
        return json.read(content)
    except json.NotJson as failure:
        at = "" if line is None else f", line {line}"
        raise Refused(f"{file}{at} is not JSON: {failure.detail}.") from None

"""Doubts about the values in a shop's tables: printing them, and keeping those that the shop accepts in its folder."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from service.cli.out import Refused
from service.cli.whole_folders import write_all

if TYPE_CHECKING:
    from pricing.catalogue.plausibility import Examination
    from pricing.errors import Doubt

SOME_DOUBTED = 1


def doubt_lines(doubts: Sequence[Doubt]) -> Iterator[str]:
    """The lines that print each doubt: its place and value, what is expected and why, and the option that accepts it."""
    for doubt in doubts:
        yield f"  {doubt}"
        yield f"    --accept {shlex.quote(doubt.name)}"


def stale_lines(examination: Examination) -> Iterator[str]:
    """The lines that print acceptances no longer needed."""
    for row in examination.stale:
        yield f"{row.doubt} was accepted by {row.by} on {row.day}, and is no longer doubted: its row in accepted_doubts.csv can go."


def accept_in(folder: Path, examination: Examination, names: Sequence[str], by: str | None, words: str | None, day: date) -> None:
    """Add the doubts with these names to the folder's `accepted_doubts.csv`, all or none. Raises Refused, OSError."""
    from pricing.catalogue.plausibility import ACCEPTED, with_accepted

    names = list(dict.fromkeys(names))
    already = {doubt.name for doubt in examination.accepted}
    strange = [name for name in names if name not in already and name not in {doubt.name for doubt in examination.open}]
    if strange:
        raise Refused("\n".join(["Nothing was accepted. These are not doubted:", *(f"  {name}" for name in strange)]))
    if not by or not by.strip():
        raise Refused("Say with --by who accepts what is doubted: it is kept with the tables.")
    new = [name for name in names if name not in already]
    path = folder / ACCEPTED
    before = path.read_bytes().decode("utf-8-sig") if path.exists() else ""
    if new:
        write_all(folder, {ACCEPTED: with_accepted(before, new, _line(by), day, _line(words or ""))})


def _line(text: str) -> str:
    """Text as a cell holds it: printable, in one line, no longer than the table allows."""
    return "".join(each if each.isprintable() else " " for each in " ".join(text.split()))[:300]

"""What is doubted of tables, in words, and what a shop accepts of it, kept in the folder."""

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


def told(doubts: Sequence[Doubt]) -> Iterator[str]:
    """Each doubt: where it is and what is written, what is expected and why, and the name by which it is accepted."""
    for doubt in doubts:
        yield f"  {doubt}"
        yield f"    --accept {shlex.quote(doubt.name)}"


def stale(found: Examination) -> Iterator[str]:
    """Acceptances that no longer apply."""
    for row in found.stale:
        yield f"{row.doubt} was accepted by {row.by} on {row.day}, and is no longer doubted: its row in accepted_doubts.csv can go."


def accept_in(folder: Path, found: Examination, names: Sequence[str], by: str | None, words: str | None, day: date) -> None:
    """Add what is accepted to the folder's `accepted_doubts.csv`, all or nothing. Raises Refused, OSError."""
    from pricing.catalogue.plausibility import ACCEPTED, with_accepted

    names = list(dict.fromkeys(names))
    already = {doubt.name for doubt in found.accepted}
    strange = [name for name in names if name not in already and name not in {doubt.name for doubt in found.open}]
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

"""Doubts that the shop has accepted: `accepted_doubts.csv`, one row per doubt, with who, when and why."""

from __future__ import annotations

import csv
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from io import StringIO

from pricing.catalogue.reading import Sheets
from pricing.catalogue.tables import ACCEPTED_DOUBTS
from pricing.errors import Doubt
from pricing.rows import Acceptance

ACCEPTED = ACCEPTED_DOUBTS.file


@dataclass(frozen=True, slots=True)
class Examination:
    """The doubts of tables: `open`, those the shop `accepted`, and `stale` acceptances whose doubt no longer arises."""

    open: tuple[Doubt, ...]
    accepted: tuple[Doubt, ...]
    stale: tuple[Acceptance, ...]


def examination(sheets: Sheets, doubts: Iterable[Doubt]) -> Examination:
    """Sort doubts into open and accepted ones by the tables' own acceptances."""
    rows = [Acceptance(*values) for _, values in sheets[ACCEPTED_DOUBTS.kind].rows(("doubt", "by", "day", "words"))]
    names, every = {row.doubt for row in rows}, tuple(doubts)
    arising = {doubt.name for doubt in every}
    return Examination(
        tuple(doubt for doubt in every if doubt.name not in names),
        tuple(doubt for doubt in every if doubt.name in names),
        tuple(row for row in rows if row.doubt not in arising),
    )


def with_accepted(content: str, names: Iterable[str], by: str, day: date, words: str = "") -> str:
    """The text of `accepted_doubts.csv` with rows added for these doubts; `content` is its text so far, empty if there is none."""
    out = StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    header = next(csv.reader(StringIO(content)), [column.name for column in ACCEPTED_DOUBTS.columns])
    if content.strip():
        out.write(content.rstrip("\r\n") + "\n")
    else:
        writer.writerow(header)
    for name in names:
        cells = {"doubt": name, "by": by, "day": day.isoformat(), "words": words}
        writer.writerow([cells.get(column.strip(), "") for column in header])
    return out.getvalue()

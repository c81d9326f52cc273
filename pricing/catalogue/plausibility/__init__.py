"""Plausibility of tables: cells that can be read but are probably mistakes, listed as doubts that the shop corrects or accepts by name.

A fault (`crosschecks`) refuses a folder; a doubt asks for confirmation. Each column is compared with its neighbours (the same family and
attachment, by size), with published values and with geometry; prices also with the edition in force. Doubts are computed when tables are
checked, imported or put in force, never when a quote is made. To add a check, write a function from `Examined` to doubts in the module of
its family and list it in `registry`.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from pricing.catalogue.compiling import checked_sheets
from pricing.catalogue.plausibility.acceptance import ACCEPTED, Examination, examination, with_accepted
from pricing.catalogue.reading import Sheets
from pricing.errors import Doubt

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue

__all__ = ["ACCEPTED", "Examination", "doubts_in", "doubts_of", "examine", "examine_sheets", "with_accepted"]


def doubts_of(folder: Path, before: Catalogue | None = None) -> tuple[Doubt, ...]:
    """The open doubts of a folder: those that its `accepted_doubts.csv` does not accept.

    `before` is the edition in force, with which prices are compared. Raises TableError if the tables have faults.
    """
    return examine(folder, before).open


def doubts_in(sheets: Sheets, before: Catalogue | None = None) -> tuple[Doubt, ...]:
    """The open doubts of tables already read and free of faults (`checked_sheets`)."""
    return examine_sheets(sheets, before).open


def examine(folder: Path, before: Catalogue | None = None) -> Examination:
    """A folder's doubts, open and accepted, and acceptances that no longer apply. Raises TableError if the tables have faults."""
    return examine_sheets(checked_sheets(folder), before)


def examine_sheets(sheets: Sheets, before: Catalogue | None = None) -> Examination:
    """The doubts of tables that have already been read and are free of faults."""
    from pricing.catalogue.plausibility.registry import every_doubt  # imports pandas

    return examination(sheets, every_doubt(sheets, before))

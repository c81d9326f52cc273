"""Tables that are not in force: checked as a whole, compared with those that are, and tried on requests. Nothing here stores anything."""

from __future__ import annotations

import tempfile
from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from pricing.errors import Doubt, TableError, TableFault
from service.engine.engine import engine_over
from service.engine.outcomes import Outcome, outcomes
from service.storage import Edition

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.catalogue.differences import TableDifference
    from pricing.rows import StockRow
    from service.engine.engine import Engine

Files = Mapping[str, str]
STOCK = "stock.csv"


@dataclass(frozen=True, slots=True)
class Checked:
    """Tables without faults: their versions, their name, and their doubts; `accepted`: those that their file of accepted doubts names."""

    edition: Edition
    name: str
    doubts: tuple[Doubt, ...]
    accepted: tuple[Doubt, ...]


@dataclass(frozen=True, slots=True)
class Tried:
    """The outcomes of requests before and after; when the time was up, the last ones are missing."""

    before: tuple[Outcome, ...]
    after: tuple[Outcome, ...]


@contextmanager
def laid_out(files: Files) -> Iterator[Path]:
    """A temporary folder with the files. Raises TableError for a name that belongs to no table: no other file is ever written."""
    refuse_strangers(files)
    with tempfile.TemporaryDirectory(prefix="tables-") as place:
        for name, content in files.items():
            (Path(place) / name).write_bytes(content.encode("utf-8", "surrogatepass"))
        yield Path(place)


def table_files() -> tuple[str, ...]:
    """The names of all files that a shop's tables may have."""
    from pricing.catalogue.tables import TABLES

    return tuple(table.file for table in TABLES)


def refuse_strangers(names: Collection[str]) -> None:
    """Raises TableError with each name that belongs to no table."""
    known = table_files()
    strangers = [
        TableFault(name[:60], 0, "", "a file that is no table", "only " + ", ".join(sorted(known))) for name in names if name not in known
    ]
    if strangers:
        raise TableError(strangers)


def checked(files: Files, day: date, before: Catalogue | None = None) -> Checked:
    """Check tables as a whole, and that they have terms on the day from which they are to be in force; prices are compared with `before`. Raises
    TableError with every fault.
    """
    from pricing.catalogue.compiling import checked_sheets, compiled
    from pricing.catalogue.plausibility import examine_sheets
    from pricing.costing.rates import price_table

    with laid_out(files) as folder:
        sheets = checked_sheets(folder)
    catalogue = compiled(sheets)
    _ = price_table(catalogue).at(day).terms
    found = examine_sheets(sheets, before)
    return Checked(Edition(catalogue.version, catalogue.price_version), catalogue.edition.name, found.open, found.accepted)


def counted(files: Files, text: str) -> tuple[StockRow, ...]:
    """The rows of a stock count, checked beside the other tables. Raises TableError with every fault."""
    from pricing.catalogue.compiling import checked_sheets, compiled

    with laid_out({**files, STOCK: text}) as folder:
        return compiled(checked_sheets(folder)).tables.stock


def difference(before: Files, after: Files) -> tuple[TableDifference, ...]:
    """The tables that differ. Raises TableError if one of them has faults."""
    from pricing.catalogue.compiling import checked_sheets
    from pricing.catalogue.differences import differences

    with laid_out(before) as one, laid_out(after) as other:
        return differences(checked_sheets(one), checked_sheets(other))


def tried(engine: Engine, files: Files, bodies: Sequence[bytes], day: date, seconds: float) -> Tried:
    """The outcomes of requests on a day, with the engine's tables and with these. Raises TableError."""
    return compared(engine, _engine_over(files), bodies, day, seconds)


def tried_both(
    engine: Engine, files: Files, boats: Sequence[bytes], opened: Sequence[bytes], day: date, seconds: float
) -> tuple[Tried, Tried]:
    """The same for boats and for the requests of open quotes. Raises TableError."""
    then = _engine_over(files)
    return compared(engine, then, boats, day, seconds / 2), compared(engine, then, opened, day, seconds / 2)


def _engine_over(files: Files) -> Engine:
    from pricing.catalogue import load_catalogue
    from pricing.costing.rates import price_table

    with laid_out(files) as folder:
        catalogue = load_catalogue(folder)
    return engine_over(catalogue, price_table(catalogue), None)


def compared(before: Engine, after: Engine, bodies: Sequence[bytes], day: date, seconds: float) -> Tried:
    """The outcomes of requests on a day with one engine and with another, each in half of the time."""
    was = outcomes(before, bodies, day, seconds / 2)
    return Tried(was, outcomes(after, bodies[: len(was)], day, seconds / 2))

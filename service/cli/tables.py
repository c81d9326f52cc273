"""`catalogue check`, `catalogue load` and `prices load`: check a shop's own tables as a whole and put them in force."""

from __future__ import annotations

import csv
import os
import tempfile
from contextlib import closing
from dataclasses import replace
from datetime import date
from io import StringIO
from pathlib import Path

from pricing.errors import TableError, TableFault
from service.cli.out import Refused, agreed, refuse, say
from service.engine.catalogues import engine_from, files_of
from service.engine.engine import Engine, engine_of
from service.settings import Settings, variable

PRICES = "prices.csv"
OWN_FOLDER = f"The demo tables are not changed: copy them to a folder of your own and set {variable('catalogue')}."


def check(settings: Settings, folder: Path) -> int:
    """Check the tables in a folder. Raises TableError with every fault."""
    return say(f"{folder} can be used: {_named(engine_of(folder, settings))}.")


def load(settings: Settings, *, sure: bool) -> int:
    """Put the configured folder in force, also for running servers. Raises Refused, TableError, SQLAlchemyError, WrongSchema."""
    if settings.catalogue is None:
        return refuse(OWN_FOLDER)
    engine_of(settings.catalogue, settings)  # reports files that are not text
    files = files_of(settings.catalogue)
    engine = engine_from(files, settings)
    agreed(f"Put {settings.catalogue} in force, for all servers of the database: {_named(engine)}?", sure=sure)
    _put_in_force(settings, engine, files)
    return say(f"In force: {_named(engine)}.")


def load_prices(settings: Settings, file: Path, day: str, *, sure: bool) -> int:
    """Add a file's prices to the configured folder from a given day on, and put it in force. Raises Refused, TableError,
    SQLAlchemyError, OSError.
    """
    if settings.catalogue is None:
        return refuse(OWN_FOLDER)
    try:
        start = date.fromisoformat(day)
    except ValueError:
        return refuse(f"--from must be a day as YYYY-MM-DD, not {day!r}.")
    if start < settings.day():
        return refuse(f"{day} is in the past: prices are never changed retroactively. Name today or a later day.")
    engine_of(settings.catalogue, settings)
    files = files_of(settings.catalogue)
    before = files[PRICES]
    try:
        added = _added(before, file.read_text(encoding="utf-8-sig"), start)
        engine = engine_from({**files, PRICES: before.rstrip("\r\n") + "\n" + added}, settings)
    except UnicodeDecodeError:
        return refuse(f"{file} is not UTF-8: save it with that encoding.")
    except csv.Error as error:
        return refuse(f"{file} cannot be read as CSV: {error}.")
    except TableError as error:
        raise TableError(_in_the_file(error, before, str(file))) from None
    many = added.count(chr(10))
    agreed(f"Add {many} prices from {day} on to {settings.catalogue / PRICES}, and put it in force?", sure=sure)
    if files_of(settings.catalogue)[PRICES] != before:
        raise Refused(f"{settings.catalogue / PRICES} was changed meanwhile, and nothing was added: run the command again.")
    files[PRICES] = before.rstrip("\r\n") + "\n" + added
    _replaced(settings.catalogue / PRICES, files[PRICES])
    _put_in_force(settings, engine, files)
    return say(f"{many} prices added from {day} on. In force: {_named(engine)}.")


def _added(prices: str, more: str, start: date) -> str:
    """The rows of `more` in the columns of `prices`, valid from a day on. Raises TableError if the header does not fit."""
    columns = next(csv.reader(StringIO(prices)))
    rows = list(csv.reader(StringIO(more)))
    header = [name.strip() for name in rows[0]] if rows else []
    wanted = [name for name in columns if name != "from_day"]
    if sorted(header) != sorted(wanted):
        raise TableError(
            [TableFault(PRICES, 0, "", ",".join(header), f"a header line with the columns {','.join(wanted)}; the day is --from")]
        )
    out = StringIO()
    writer = csv.writer(out, lineterminator="\n")
    for row in rows[1:]:
        if row:
            cells = {**dict(zip(header, row, strict=False)), "from_day": start.isoformat()}
            writer.writerow([*(cells.get(name, "") for name in columns), *row[len(header) :]])
    return out.getvalue()


def _in_the_file(error: TableError, prices: str, file: str) -> list[TableFault]:
    """The faults, with line numbers of the given file for those in the added rows."""
    before = prices.rstrip("\r\n").count("\n") + 1
    return [
        replace(fault, file=file, line=max(fault.line - before + 1, 0))
        if fault.file == PRICES and (fault.line > before or not fault.line)
        else fault
        for fault in error.faults
    ]


def _replaced(path: Path, content: str) -> None:
    """Replace a file atomically: no reader ever sees half of it."""
    with tempfile.NamedTemporaryFile("w", encoding="utf-8", newline="", dir=path.parent, suffix=".part", delete=False) as part:
        part.write(content)
        part.flush()
        os.fsync(part.fileno())
    Path(part.name).chmod(path.stat().st_mode)
    Path(part.name).replace(path)


def _put_in_force(settings: Settings, engine: Engine, files: dict[str, str]) -> None:
    from service.storage import Editions, Quotes

    with closing(Quotes(settings.database_url, 1)) as store:
        store.ready()
        Editions(store).put_in_force(engine.key, files)


def _named(engine: Engine) -> str:
    return f"{engine.edition['name']}, version {engine.key.catalogue}, prices {engine.key.prices}"

"""`prices load`: add prices from a day on to the shop's tables, after showing what they change."""

from __future__ import annotations

import csv
from contextlib import closing
from dataclasses import replace
from datetime import date
from decimal import Decimal, InvalidOperation
from io import StringIO
from pathlib import Path

from pricing.errors import TableError
from pricing.importing.grid import Unreadable
from pricing.importing.lists import ImportOptions
from service.cli.editions import Proposed, day_of, put_proposed, tables_of_folder
from service.cli.out import Refused, refuse, say
from service.cli.price_files import TABLE, Added, faults_in, prices_in
from service.cli.tables import OWN_FOLDER
from service.engine.catalogues import engine_from
from service.settings import Settings
from service.storage import Quotes
from service.storage.catalogue_editions import NOBODY, Attribution

FEWER = "--fewer-breaks"


def load_prices(
    settings: Settings,
    file: Path,
    day: str,
    said: Attribution = NOBODY,
    accept: tuple[str, ...] = (),
    *,
    sure: bool,
    fewer_breaks: bool = False,
    reading: ImportOptions | None = None,
    mapping: Path | None = None,
) -> int:
    """Add a file's prices to the configured folder from a given day on, and put it in force. Raises Refused, TableError,
    SQLAlchemyError, WrongSchema, OSError.
    """
    if settings.catalogue is None:
        return refuse(OWN_FOLDER)
    old = tables_of_folder(settings, settings.catalogue)
    start, before = day_of(day, old.engine.today()), old.files[TABLE]
    try:
        added = prices_in(file, old.files, start, reading or ImportOptions(), mapping)
        for line in added.lines:
            say(line)
        files = {**old.files, TABLE: before.rstrip("\r\n") + "\n" + added.text}
        new = Proposed(files, str(settings.catalogue), engine_from(files, settings), settings.catalogue)
    except Unreadable as error:
        return refuse("Nothing was added:", *map(str, error.notes))
    except TableError as error:
        return refuse("Nothing was added:", *faults_in(error, before, added))
    lacking = _breaks_left_out(before, added, start)
    if lacking and sure and not fewer_breaks:
        raise Refused("\n".join(["Nothing was done.", *lacking, f"Add these breaks to {file}, or say with {FEWER} that they are to end."]))
    path = settings.catalogue / TABLE
    first = [*lacking, f"{len(added.rows)} prices from {start} on are added to {path}."]
    with closing(Quotes(settings.database_url, 1)) as store:
        store.ready()
        code = put_proposed(
            store,
            settings,
            replace(new, unchanged=lambda: _refuse_changed(path, before), written={TABLE: files[TABLE]}),
            old.engine.today(),
            said,
            accept,
            sure=sure,
            tried_on=start,
            first=first,
        )
    say(f"{len(added.rows)} prices added from {start} on.")
    return code


def _refuse_changed(path: Path, before: str) -> None:
    if path.read_bytes().decode("utf-8-sig") != before:
        raise Refused(f"{path} was changed meanwhile, and nothing was added: run the command again.")


def _breaks_left_out(prices: str, added: Added, start: date) -> list[str]:
    """For each article whose earlier quantity breaks are not all in the file, a line with those that end: prices of a new day replace all of them."""
    columns = [name.strip() for name in next(csv.reader(StringIO(prices)))]
    before: dict[str, dict[str, dict[Decimal, str]]] = {}
    for cells in csv.DictReader(StringIO(prices), columns):
        if cells["from_day"] <= start.isoformat() and cells["from_day"][:1].isdigit():
            ladder = before.setdefault(cells["sku"].strip(), {}).setdefault(cells["from_day"].strip(), {})
            ladder[Decimal(cells["from_quantity"].strip())] = cells["unit_price"].strip()
    now: dict[str, set[Decimal]] = {}
    for row in added.rows:
        cells = dict(zip(columns, row, strict=False))
        try:
            now.setdefault(cells["sku"], set()).add(Decimal(cells["from_quantity"]))
        except (KeyError, InvalidOperation):  # reported already as a fault
            continue
    lines = []
    for sku, quantities in now.items():
        days = before.get(sku, {})
        ladder = days[max(days)] if days else {}
        if gone := {quantity: price for quantity, price in ladder.items() if quantity not in quantities}:
            listed = ", ".join(f"from {quantity.normalize():f} at {price}" for quantity, price in sorted(gone.items()))
            lines.append(f"{sku}: the file lacks quantity breaks that count until then: {listed}. From {start} on they would end.")
    return lines

"""`prices load`: add prices from a day on to the shop's tables, once it was seen what they do."""

from __future__ import annotations

import csv
import os
import re
import tempfile
from contextlib import closing
from dataclasses import replace
from datetime import date
from decimal import Decimal, InvalidOperation
from io import StringIO
from pathlib import Path
from typing import NamedTuple

from pricing.errors import TableError, TableFault
from service.cli.editions import Proposed, day_of, proposed, put_proposed
from service.cli.out import Refused, refuse, say
from service.cli.tables import OWN_FOLDER
from service.engine.catalogues import engine_from
from service.settings import Settings
from service.storage import Quotes
from service.storage.catalogue_editions import NOBODY, Said

PRICES = "prices.csv"
DELIMITERS = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars"}
NUMBERS = ("from_quantity", "unit_price")
_DECIMAL_COMMA = re.compile(r"[0-9]{1,12},[0-9]{1,2}", re.ASCII)  # three digits after it might be thousands
FEWER = "--fewer-breaks"
_NO_TEXT = bytes({*range(32)} - {*b"\t\n\v\f\r"})


class Added(NamedTuple):
    """Rows to be added: as text in the columns of prices.csv, each with its line in the file, and what was taken to be meant."""

    rows: tuple[tuple[str, ...], ...]
    lines: tuple[int, ...]
    text: str
    remarks: tuple[str, ...]


def load_prices(
    settings: Settings,
    file: Path,
    day: str,
    said: Said = NOBODY,
    accept: tuple[str, ...] = (),
    *,
    sure: bool,
    fewer_breaks: bool = False,
) -> int:
    """Add a file's prices to the configured folder from a given day on, and put it in force. Raises Refused, TableError,
    SQLAlchemyError, WrongSchema, OSError.
    """
    if settings.catalogue is None:
        return refuse(OWN_FOLDER)
    old = proposed(settings, settings.catalogue)
    start, before = day_of(day, old.engine.today()), old.files[PRICES]
    added = _read(file, before, start)
    files = {**old.files, PRICES: before.rstrip("\r\n") + "\n" + added.text}
    try:
        new = Proposed(files, str(settings.catalogue), engine_from(files, settings), settings.catalogue)
    except TableError as error:
        raise TableError(_in_the_file(error, before, str(file), added.lines)) from None
    lacking = _breaks_left_out(before, added, start)
    if lacking and sure and not fewer_breaks:
        raise Refused("\n".join(["Nothing was done.", *lacking, f"Add these breaks to {file}, or say with {FEWER} that they are to end."]))
    path = settings.catalogue / PRICES
    first = [*added.remarks, *lacking, f"{len(added.rows)} prices from {start} on are added to {path}."]
    with closing(Quotes(settings.database_url, 1)) as store:
        store.ready()
        code = put_proposed(
            store,
            settings,
            replace(new, unchanged=lambda: _refuse_changed(path, before)),
            old.engine.today(),
            said,
            accept,
            sure=sure,
            tried_on=start,
            first=first,
        )
    _replaced(path, files[PRICES])
    say(f"{len(added.rows)} prices added from {start} on.")
    return code


def _refuse_changed(path: Path, before: str) -> None:
    if path.read_bytes().decode("utf-8-sig") != before:
        raise Refused(f"{path} was changed meanwhile, and nothing was added: run the command again.")


def _read(file: Path, prices: str, start: date) -> Added:
    """The rows of a file as a spreadsheet saves it, in the columns of `prices`, valid from a day on. Raises TableError if its header does not fit,
    Refused if it cannot be read.
    """
    text, remarks = _decoded(file)
    columns = [name.strip() for name in next(csv.reader(StringIO(prices)))]
    wanted = [name for name in columns if name != "from_day"]
    first_line = next((line for line in text.splitlines() if line.strip()), "")[:10_000]
    delimiter = max(
        DELIMITERS, key=lambda each: len({name.strip() for name in next(csv.reader([first_line], delimiter=each), [])} & set(wanted))
    )
    if delimiter != ",":
        remarks.append(f"{file} is set apart by {DELIMITERS[delimiter]}, and was read so.")
    reader, found = csv.reader(StringIO(text, newline=""), delimiter=delimiter, strict=True), list[tuple[int, list[str]]]()
    line = 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                found.append((line, cells))
            line = reader.line_num + 1
    except csv.Error as error:
        raise Refused(f"{file} cannot be read as CSV, in line {line}: {error}.") from None
    header = [name.strip() for name in found[0][1]] if found else []
    if sorted(header) != sorted(wanted):
        raise TableError(
            [
                TableFault(
                    str(file),
                    found[0][0] if found else 0,
                    "",
                    (delimiter.join(header) or "an empty file")[:200],
                    f"a header line with the columns {','.join(wanted)}, set apart by commas, semicolons or tabs; the day is --from",
                )
            ]
        )
    rows, commas = [], 0
    for _, row in found[1:]:
        named = {**dict(zip(header, (cell.strip() for cell in row), strict=False)), "from_day": start.isoformat()}
        for name in NUMBERS if delimiter != "," else ():
            if _DECIMAL_COMMA.fullmatch(named.get(name, "")):
                named[name], commas = named[name].replace(",", "."), commas + 1
        rows.append((*(named.get(name, "") for name in columns), *row[len(header) :]))
    if commas:
        remarks.append(f"{commas} numbers are written with a decimal comma, and were read so.")
    out = StringIO()
    csv.writer(out, lineterminator="\n").writerows(rows)
    return Added(tuple(rows), tuple(line for line, _ in found[1:]), out.getvalue(), tuple(remarks))


def _decoded(file: Path) -> tuple[str, list[str]]:
    """A file's text, in UTF-8 or as a spreadsheet saves it otherwise. Raises Refused."""
    content = file.read_bytes()
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        try:
            return content.decode("utf-16"), [f"{file} is in UTF-16, and was read so."]
        except UnicodeDecodeError:
            raise Refused(f"{file} begins as UTF-16 and does not go on so: save it as CSV UTF-8.") from None
    if any(byte in content for byte in _NO_TEXT):
        raise Refused(f"{file} is not UTF-8 text: save the sheet as CSV UTF-8.")
    try:
        return content.decode("utf-8-sig"), []
    except UnicodeDecodeError:
        pass
    try:
        return content.decode("cp1252"), [f"{file} is not in UTF-8; it was read as Windows-1252: check the names in it."]
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise Refused(f"{file}, line {line} is neither UTF-8 nor Windows-1252: save it as CSV UTF-8.") from None


def _breaks_left_out(prices: str, added: Added, start: date) -> list[str]:
    """For each article whose quantity breaks of before are not all in the file, what no longer counts: a new day of prices replaces them all."""
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
        except (KeyError, InvalidOperation):  # its fault has been told
            continue
    found = []
    for sku, quantities in now.items():
        days = before.get(sku, {})
        ladder = days[max(days)] if days else {}
        if gone := {quantity: price for quantity, price in ladder.items() if quantity not in quantities}:
            listed = ", ".join(f"from {quantity.normalize():f} at {price}" for quantity, price in sorted(gone.items()))
            found.append(f"{sku}: the file lacks quantity breaks that count until then: {listed}. From {start} on they would end.")
    return found


def _in_the_file(error: TableError, prices: str, file: str, lines: tuple[int, ...]) -> list[TableFault]:
    """The faults, with line numbers of the given file for those in the added rows."""
    before = prices.rstrip("\r\n").count("\n") + 1
    return [
        replace(fault, file=file, line=lines[fault.line - before - 1] if before < fault.line <= before + len(lines) else 0)
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

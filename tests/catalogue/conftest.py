"""A small loft's tables, in a folder of its own for each test to break."""

from __future__ import annotations

import csv
import shutil
from pathlib import Path

import pytest

from pricing.catalogue import DEMO_FOLDER, Catalogue, load_catalogue
from pricing.catalogue.compiling import checked_sheets
from pricing.catalogue.reading import Sheets
from pricing.errors import TableError, TableFault

SMALL = Path(__file__).parent / "small"


class Loft:
    """A folder of tables with tools to change single cells and to see what the loader finds."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def path(self, file: str) -> Path:
        return self.folder / file

    def table(self, file: str) -> list[list[str]]:
        with self.path(file).open(encoding="utf-8", newline="") as stream:
            return list(csv.reader(stream))

    def write(self, file: str, table: list[list[str]]) -> None:
        with self.path(file).open("w", encoding="utf-8", newline="") as stream:
            csv.writer(stream).writerows(table)

    def cell(self, file: str, line: int, column: str, text: str) -> None:
        """Put `text` into a cell; the header is line 1."""
        table = self.table(file)
        table[line - 1][table[0].index(column)] = text
        self.write(file, table)

    def add(self, file: str, **cells: str) -> None:
        """Append a copy of the last row with some cells changed."""
        table = self.table(file)
        last = dict(zip(table[0], table[-1], strict=True))
        self.write(file, [*table, list((last | cells).values())])

    def drop(self, file: str, line: int) -> None:
        """Take a row out."""
        table = self.table(file)
        self.write(file, table[: line - 1] + table[line:])

    def append_text(self, file: str, text: str) -> None:
        self.path(file).write_text(self.path(file).read_text(encoding="utf-8") + text, encoding="utf-8")

    def load(self) -> Catalogue:
        return load_catalogue(self.folder)

    def faults(self) -> tuple[TableFault, ...]:
        with pytest.raises(TableError) as caught:
            self.load()
        return caught.value.faults

    def fault(self) -> TableFault:
        """The one and only fault."""
        faults = self.faults()
        assert len(faults) == 1, faults
        return faults[0]


@pytest.fixture
def loft(tmp_path: Path) -> Loft:
    return Loft(Path(shutil.copytree(SMALL, tmp_path / "loft")))


@pytest.fixture(scope="session")
def demo_sheets() -> Sheets:
    """The demo's tables as read; not to be changed."""
    return checked_sheets(DEMO_FOLDER)


@pytest.fixture(scope="session")
def small() -> Catalogue:
    return load_catalogue(SMALL)

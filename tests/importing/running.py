"""Runs `tables import` as a shop does, and makes files for it."""

from __future__ import annotations

import io
import shutil
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, NamedTuple

import openpyxl
import pytest

from pricing.catalogue import DEMO_FOLDER
from service.cli.main import main
from tests.catalogue.conftest import SMALL


class Done(NamedTuple):
    """A command's exit code and output."""

    code: int
    out: str
    err: str


def run(capsys: pytest.CaptureFixture[str], *words: str | Path) -> Done:
    """`python -m service tables import ...` in this process."""
    capsys.readouterr()
    code = main(["tables", "import", *map(str, words)])
    output = capsys.readouterr()
    return Done(code, output.out, output.err)


def folder_of(place: Path) -> Path:
    """A copy of the demo tables, as a shop begins with."""
    return Path(shutil.copytree(DEMO_FOLDER, place / "tables", ignore=shutil.ignore_patterns("*.py", "recipes", "__pycache__")))


def small_folder(place: Path) -> Path:
    """A copy of a small loft's tables, which are read in a moment."""
    return Path(shutil.copytree(SMALL, place / "tables"))


def workbook(rows: Sequence[Sequence[Any]], change: Callable[[Any, Any], None] = lambda book, sheet: None, title: str = "Liste") -> bytes:
    """A workbook of one sheet with these rows; `change` gets the book and the sheet."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = title
    for row in rows:
        sheet.append(list(row))
    change(book, sheet)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()

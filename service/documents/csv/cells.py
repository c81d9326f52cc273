"""Text that spreadsheets can hold but do not execute, and tables as CSV of RFC 4180 (text/csv; charset=utf-8; header=present).

Lines end with CRLF. Files begin with a byte order mark: without it, spreadsheets read UTF-8 files in the machine's own code page
and garble names.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Collection, Iterable, Mapping, Sequence

_NUMBER = re.compile(r"-?[0-9]+(\.[0-9]+)?")
_UNSHOWABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ufffe\uffff]")
_HALVES = re.compile("[\ud800-\udfff]")
_FORMULA = re.compile(r"[\t\r\n]|\s*[=+\-@＝＋－＠]")  # also full-width, and after spaces, which some spreadsheets skip


def plain(value: object) -> str:
    """A value as text, without control characters, which sheets cannot show; lone surrogates become question marks."""
    return _HALVES.sub("?", _UNSHOWABLE.sub("", "" if value is None else str(value)))


def formula_like(text: str) -> bool:
    """Whether a spreadsheet could take the text for a formula, whether typed or read from a CSV file."""
    return _FORMULA.match(text) is not None


def csv_table(columns: Sequence[str], numbers: Collection[str], rows: Iterable[Mapping[str, object]]) -> bytes:
    """Rows as CSV below a header of column names; equal rows give equal bytes.

    Missing values are empty. In the columns `numbers`, a number with a decimal point stays as it is; any other text that could be
    taken for a formula is prefixed with an apostrophe.
    """
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(columns)
    for row in rows:
        writer.writerow([_cell(row.get(name), name in numbers) for name in columns])
    return text.getvalue().encode("utf-8-sig")


def _cell(value: object, number: bool) -> str:
    text = plain(value)
    if number and _NUMBER.fullmatch(text):
        return text
    return f"'{text}" if formula_like(text) else text

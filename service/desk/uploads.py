"""Files that people of the shop choose in a form, as a spreadsheet saves them: UTF-8, UTF-16 or Windows-1252; commas, semicolons or tabs."""

from __future__ import annotations

import csv
from io import StringIO

from flask import request
from werkzeug.utils import secure_filename

from pricing.importing.charsets import decoded
from pricing.importing.grid import Note, Place, Unreadable


def texts(field: str) -> dict[str, str]:
    """The chosen files, name to text. Raises Unreadable for one that is no text, and for two of one name, of which only one could count."""
    found: dict[str, str] = {}
    for each in request.files.getlist(field):
        content = each.read()
        if each.filename or content:
            name = secure_filename(each.filename or "").lower() or "unnamed"
            if name in found:
                raise Unreadable(Note("two_of_a_name", Place(name), "", "two files of this name were chosen: send one of them"))
            found[name] = decoded(content, name).text
    return found


def chosen(field: str) -> list[str]:
    """The names of the files that were sent in a field: a browser does not choose them again by itself."""
    return [each.filename for each in request.files.getlist(field) if each.filename]


def with_commas(text: str, name: str) -> str:
    """A table between whose cells are semicolons or tabs, with commas; line by line, so that a fault names the row of the file as it was.
    Raises Unreadable for one that is no table.
    """
    header = text.partition("\n")[0]
    other = max(";\t", key=header.count)
    if "," in header or other not in header:
        return text
    out = StringIO()
    try:
        csv.writer(out, lineterminator="\n").writerows(csv.reader(StringIO(text, newline=""), delimiter=other))
    except csv.Error:
        words = "a cell is longer than any table has: a quotation mark is missing where it ends"
        raise Unreadable(Note("endless_cell", Place(name), "", words)) from None
    return out.getvalue()

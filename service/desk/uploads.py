"""Files that people of the shop choose in a form, as a spreadsheet saves them: UTF-8, UTF-16 or Windows-1252; commas, semicolons or tabs."""

from __future__ import annotations

import csv
from io import StringIO

from flask import request
from werkzeug.utils import secure_filename

from pricing.importing.charsets import decoded
from pricing.importing.grid import Note, Place, Unreadable


def texts(field: str) -> dict[str, str]:
    """The texts of the uploaded files, by name. Raises Unreadable for a file that is not text, and for two files of the same name."""
    files: dict[str, str] = {}
    for upload in request.files.getlist(field):
        content = upload.read()
        if upload.filename or content:
            name = secure_filename(upload.filename or "").lower() or "unnamed"
            if name in files:
                raise Unreadable(Note("two_of_a_name", Place(name), "", "two files of this name were chosen: send one of them"))
            files[name] = decoded(content, name).text
    return files


def chosen(field: str) -> list[str]:
    """The names of the files uploaded in a field, to ask for them again: a browser does not keep the choice."""
    return [each.filename for each in request.files.getlist(field) if each.filename]


def with_commas(text: str, name: str) -> str:
    """A table separated by semicolons or tabs, rewritten with commas. Lines stay lines, so that faults name the rows of the file that was sent.
    Raises Unreadable for text that is not a table.
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

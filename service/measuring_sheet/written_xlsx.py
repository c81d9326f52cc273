"""Writes a sheet as a workbook: the table, measuring instructions, and the choices. Lengths are text cells, so that no spreadsheet
turns a fraction into a date.
"""

from __future__ import annotations

import io
from datetime import datetime
from typing import Any

from service.measuring_sheet.columns import ASSEMBLY, REQUEST
from service.measuring_sheet.grid import letters
from service.measuring_sheet.layout import MOST_WIRES, Field, Layout, Wanted, rows_of
from service.web_form.asking import N_
from service.wording import translator

_TABLE, _HOW, _CHOICES = N_("Measuring sheet"), N_("How to measure"), N_("Choices")
_MADE = datetime(2000, 1, 1)  # noqa: DTZ001  # one day for all: equal sheets are equal files
_NO_CONVERSION = {"in_memory": True, "strings_to_formulas": False, "strings_to_numbers": False, "strings_to_urls": False}
_A4, _LETTER = 9, 1
_EDGE = {"border": 1, "border_color": "#808080"}
_FORMATS: dict[str, dict[str, Any]] = {
    "title": {"bold": True, "font_size": 14},
    "heads": {"bold": True, "font_size": 11, "bottom": 2},
    "labels": {"bold": True, "text_wrap": True, "valign": "top", "bg_color": "#EEEEEE", **_EDGE},
    "names": {"font_size": 7, "font_color": "#595959", "text_wrap": True, "valign": "top", **_EDGE},
    "values": {"num_format": "@", "text_wrap": True, "valign": "top", **_EDGE},
    "text": {"num_format": "@", "text_wrap": True, "valign": "top"},
}
_HEIGHTS = {"labels": 122.0, "names": 22.0, "values": 24.0}
_TITLE, _PROMPT, _LIST = 32, 255, 255  # maximum number of characters in the format
_WIDTHS = {"tag": 10.0, "note": 22.0, "request.note": 22.0, "quantity": 9.0}
_USUAL, _MARKS = 13.0, 9.0  # column width, and that of the first column, in characters
_SCALE = 70  # percent, in print
_PRINTED = (11 - 0.8) * 96 * 100 / _SCALE  # pixels between the margins of Letter, the narrower paper


def xlsx_sheet(layout: Layout, wanted: Wanted) -> bytes:
    """The workbook."""
    import xlsxwriter  # takes 0.1 s to import

    file, say = io.BytesIO(), translator(wanted.language)
    book = xlsxwriter.Workbook(file, _NO_CONVERSION)
    book.set_properties({"title": layout.title, "created": _MADE})
    formats = {kind: book.add_format(shape) for kind, shape in _FORMATS.items()}
    table, how, choices = (book.add_worksheet(say(name)[:31]) for name in (_TABLE, _HOW, _CHOICES))
    lists = _choices(choices, layout, formats, say(_CHOICES))
    _table(table, layout, formats, lists)
    _printed(table, layout, _A4 if wanted.units == "metric" else _LETTER)
    _how(how, layout, formats, _A4 if wanted.units == "metric" else _LETTER)
    book.close()
    return file.getvalue()


def _table(sheet: Any, layout: Layout, formats: dict[str, Any], lists: dict[str, str]) -> None:
    sheet.set_column(0, 0, _MARKS, formats["text"])
    for place in range(1, layout.widest):
        name = layout.wire[place - 1].asked.name if place <= len(layout.wire) else ""
        sheet.set_column(place, place, _WIDTHS.get(name, _USUAL), formats["text"])
    names = {}
    for row, (kind, cells) in enumerate(rows_of(layout, hints=False)):
        if kind in _HEIGHTS:
            sheet.set_row(row, _HEIGHTS[kind])
        if kind == "names":
            names[cells[0]] = row
        width = len(layout.whole) if kind == "values" and ASSEMBLY not in names else len(layout.wire)
        padded = [*cells, *([""] * (width + 1 - len(cells) if kind == "values" else 0))]
        for place, text in enumerate(padded):
            if text or kind in ("values", "labels"):
                sheet.write_string(row, place, text, formats[kind]) if text else sheet.write_blank(row, place, None, formats[kind])
    first = names[ASSEMBLY] + 1
    _validated(sheet, layout.whole, lists, names[REQUEST] + 1, names[REQUEST] + 1)
    _validated(sheet, layout.wire, lists, first, first + MOST_WIRES - 1)
    sheet.freeze_panes(first, 2)


def _validated(sheet: Any, fields: tuple[Field, ...], lists: dict[str, str], first: int, last: int) -> None:
    """Set each column's help and its choices as a list: as a suggestion, since a request may name what the tables lack."""
    for place, field in enumerate(fields, 1):
        words = " ".join(part for part in (field.help, "" if field.offers else field.hint and f"({field.hint})") if part)
        options = {"input_title": field.label[:_TITLE], "input_message": words[:_PROMPT] or None, "error_type": "warning"}
        if field.asked.name in lists:
            options |= {"validate": "list", "source": lists[field.asked.name]}
        elif words:
            options |= {"validate": "any"}
        else:
            continue
        if options["input_message"] is None:
            del options["input_message"], options["input_title"]
        sheet.data_validation(first, place, last, place, options)


def _choices(sheet: Any, layout: Layout, formats: dict[str, Any], name: str) -> dict[str, str]:
    """Write the choices of each column below each other; returns the ranges that the lists refer to."""
    ranges = {}
    for place, field in enumerate([each for each in (*layout.whole, *layout.wire) if each.offers]):
        sheet.set_column(place, place, 22, formats["text"])
        sheet.write_string(0, place, field.section, formats["heads"])
        sheet.write_string(1, place, field.label, formats["labels"])
        for row, each in enumerate(field.offers, 2):
            sheet.write_string(row, place, each.label, formats["text"])
        column = letters(place)
        ranges[field.asked.name] = f"='{name}'!${column}$3:${column}${2 + len(field.offers)}"
    sheet.freeze_panes(2, 0)
    return ranges


def _how(sheet: Any, layout: Layout, formats: dict[str, Any], paper: int) -> None:
    """Write the notes, then each column with its help."""
    sheet.set_column(0, 0, 34, formats["text"])
    sheet.set_column(1, 1, 90, formats["text"])
    sheet.write_string(0, 0, layout.title, formats["title"])
    row = 2
    for note in layout.notes:
        sheet.merge_range(row, 0, row, 1, note, formats["text"])
        sheet.set_row(row, 15.0 * (1 + len(note) // 115))
        row += 1
    for field in (*layout.whole, *layout.wire):
        words = " ".join(part for part in (field.help, field.hint and f"({field.hint})") if part)
        if words:
            row += 1
            sheet.write_string(row, 0, f"{field.section}: {field.label}", formats["text"])
            sheet.write_string(row, 1, words, formats["text"])
            sheet.set_row(row, 15.0 * (1 + max(len(words) // 85, (len(field.section) + len(field.label)) // 30)))
    _paper(sheet, paper)
    sheet.fit_to_pages(1, 0)


def _printed(sheet: Any, layout: Layout, paper: int) -> None:
    """Set up printing, to be filled in by pencil: each section begins a page, and continues on more if it is wide; tag and headings
    repeat on each.
    """
    _paper(sheet, paper)
    kinds = [kind for kind, _ in rows_of(layout, hints=False)]
    last = len(kinds) - 1
    labels = [row for row, kind in enumerate(kinds) if kind == "labels"]
    sheet.repeat_rows(labels[-1] - 1, labels[-1] + 1)
    sheet.repeat_columns(0, 1)
    sheet.print_area(0, 0, last, len(layout.wire))
    sheet.set_print_scale(_SCALE)
    sheet.set_v_pagebreaks(_breaks(layout))
    sheet.set_footer("&L&A&R&P / &N")


def _breaks(layout: Layout) -> list[int]:
    """The columns before which a page break goes."""
    repeated = _pixels(_MARKS) + _pixels(_WIDTHS["tag"])
    found, used, section = [], repeated, layout.wire[0].section
    for place, field in enumerate(layout.wire[1:], 2):
        wide = _pixels(_WIDTHS.get(field.asked.name, _USUAL))
        if field.section != section or used + wide > _PRINTED:
            found.append(place)
            used, section = repeated, field.section
        used += wide
    return found


def _pixels(characters: float) -> float:
    """The width of a column in pixels: about 7 per character, plus at most 10."""
    return characters * 7 + 10


def _paper(sheet: Any, paper: int) -> None:
    sheet.set_landscape()
    sheet.set_paper(paper)
    sheet.set_margins(left=0.4, right=0.4, top=0.4, bottom=0.6)

"""Writes a sheet as a workbook: the table with pictures below it, measuring instructions, and the choices. Lengths are text cells, so that
no spreadsheet turns a fraction into a date.

The usual columns fit landscape A4 and Letter at full size, to be filled in by pencil; the others are folded away to their right, and the rows of
field names are hidden.
"""

from __future__ import annotations

import io
from datetime import datetime
from typing import Any

from service.measuring_sheet import usual
from service.measuring_sheet.blocks import OWN
from service.measuring_sheet.columns import ASSEMBLY, REQUEST, is_usual
from service.measuring_sheet.grid import letters
from service.measuring_sheet.layout import MOST_WIRES, NOTES, Field, Layout, Wanted, heads
from service.measuring_sheet.pictures import HEIGHT_MM, WIDTH_MM, description, pictures
from service.web_form.asking import N_
from service.wording import translator

_TABLE, _HOW, _CHOICES = N_("Measuring sheet"), N_("How to measure"), N_("Choices")
FOLDED = N_("Anything unusual: write it into the last column, or open the columns that are folded away to the right, by the + above them.")
_MADE = datetime(2000, 1, 1)  # noqa: DTZ001  # one day for all: equal sheets are equal files
_NO_CONVERSION = {"in_memory": True, "strings_to_formulas": False, "strings_to_numbers": False, "strings_to_urls": False}
_A4, _LETTER = 9, 1
_EDGE = {"border": 1, "border_color": "#808080"}
_LABEL = {"bold": True, "text_wrap": True, "bg_color": "#EEEEEE", **_EDGE}
_FORMATS: dict[str, dict[str, Any]] = {
    "title": {"bold": True, "font_size": 12},
    "heads": {"bold": True, "font_size": 9},
    "labels": {**_LABEL, "font_size": 7, "valign": "top"},
    "turned": {**_LABEL, "font_size": 7, "rotation": 90, "valign": "top", "align": "left"},
    "names": {"font_size": 7, "font_color": "#595959"},
    "values": {"num_format": "@", "font_size": 9, "text_wrap": True, "valign": "top", **_EDGE},
    "text": {"num_format": "@", "text_wrap": True, "valign": "top"},
    "small": {"font_size": 8},
}
_TITLE, _PROMPT, _LIST = 32, 255, 255  # maximum number of characters in the format
_ACROSS = 2  # columns of a field of boat and customer
_FIRST_FOLDED = len(usual.WIRE) + 1
_HEIGHTS = {"title": 17, "heads": 13, "turned": 112, "labels": 27, "values": 18, "small": 12}  # points
_INCH = 25.4  # mm
_POINTS, _PIXELS = 72, 96  # to the inch


def xlsx_sheet(layout: Layout, wanted: Wanted) -> bytes:
    """The workbook."""
    import xlsxwriter  # takes 0.1 s to import

    file, say = io.BytesIO(), translator(wanted.language)
    book = xlsxwriter.Workbook(file, _NO_CONVERSION)
    book.set_properties({"title": layout.title, "created": _MADE})
    formats = {kind: book.add_format(shape) for kind, shape in _FORMATS.items()}
    table, how, choices = (book.add_worksheet(say(name)[:31]) for name in (_TABLE, _HOW, _CHOICES))
    lists = _choices(choices, layout, formats, say(_CHOICES))
    paper = _A4 if wanted.units == "metric" else _LETTER
    first = _table(table, layout, formats, lists)
    last = _pictured(table, first + layout.wires, formats, wanted.language)
    _printed(table, first, last, paper)
    _how(how, layout, formats, paper)
    book.close()
    return file.getvalue()


def _table(sheet: Any, layout: Layout, formats: dict[str, Any], lists: dict[str, str]) -> int:
    """Write both blocks; returns the row of the first wire."""
    _set_columns(sheet, layout, formats)
    _row(sheet, 0, "title")
    sheet.write_string(0, 0, f"# {layout.title}", formats["title"])
    first = _block(sheet, 1, REQUEST, layout.whole, formats, "labels")
    _row(sheet, first, "values")
    for place, field in enumerate(layout.whole):
        _across(sheet, first, place, field, field.filled, formats["values"])
    sheet.write_blank(first, 0, None, formats["values"])
    names = first + 1
    wires = _block(sheet, names, ASSEMBLY, layout.wire, formats, "turned")
    for number in range(layout.wires):
        _row(sheet, wires + number, "values")
        sheet.write_string(wires + number, 0, str(number + 1), formats["values"])
        for place in range(len(layout.wire)):
            sheet.write_blank(wires + number, place + 1, None, formats["values"])
    for place, field in enumerate(layout.whole):
        _validate(sheet, field, lists, first, first, _column(REQUEST, place))
    for place, field in enumerate(layout.wire):
        _validate(sheet, field, lists, wires, wires + MOST_WIRES - 1, _column(ASSEMBLY, place))
    sheet.freeze_panes(wires, 2)
    return wires


def _set_columns(sheet: Any, layout: Layout, formats: dict[str, Any]) -> None:
    widths = [usual.NUMBERS, *usual.WIRE.values()]
    for place, width in enumerate(widths):
        sheet.set_column_pixels(place, place, round(width / _INCH * _PIXELS), formats["text"])
    more = max(len(layout.wire) + 1, _column(REQUEST, len(layout.whole) - 1) + 1)
    sheet.set_column(_FIRST_FOLDED, more - 1, 12, formats["text"], {"level": 1, "hidden": True})
    sheet.set_column(more, more, None, None, {"collapsed": True})


def _block(sheet: Any, row: int, block: str, fields: tuple[Field, ...], formats: dict[str, Any], labels: str) -> int:
    """Write the headings of a block; returns its first row of values."""
    for below, kind in enumerate(("heads", labels, "names")):
        if kind != "names":
            _row(sheet, row + below, kind)
    sheet.write_string(row, 0, "#", formats["heads"])
    sheet.write_string(row + 1, 0, "#", formats["labels"])
    sheet.write_string(row + 2, 0, block, formats["names"])
    sheet.set_row(row + 2, None, None, {"hidden": True})
    for place, (field, section) in enumerate(zip(fields, heads(fields), strict=True)):
        column = _column(block, place)
        if section:
            sheet.write_string(row, column, section, formats["heads"])
        if block == REQUEST:
            _across(sheet, row + 1, place, field, field.label, formats[labels])
        else:
            sheet.write_string(row + 1, column, field.label, formats[labels])
        sheet.write_string(row + 2, column, field.asked.name, formats["names"])
    return row + 3


def _column(block: str, place: int) -> int:
    """The column of a block's field, from 0."""
    if block == ASSEMBLY:
        return place + 1
    beyond = place - len(usual.WHOLE)
    return 1 + place * _ACROSS if beyond < 0 else _FIRST_FOLDED + beyond


def _across(sheet: Any, row: int, place: int, field: Field, text: str, shape: Any) -> None:
    """Write a cell of boat and customer, which reaches over two columns, the last over what is left of them."""
    column = _column(REQUEST, place)
    if not is_usual(field.asked):
        sheet.write_string(row, column, text, shape) if text else sheet.write_blank(row, column, None, shape)
        return
    last = _FIRST_FOLDED - 1 if place == len(usual.WHOLE) - 1 else column + _ACROSS - 1
    sheet.merge_range(row, column, row, last, text, shape)


def _row(sheet: Any, row: int, kind: str) -> None:
    sheet.set_row_pixels(row, round(_HEIGHTS[kind] / _POINTS * _PIXELS))


def _pictured(sheet: Any, row: int, formats: dict[str, Any], language: str) -> int:
    """Write the sheet's own rows below the wires: the pictures, and the cautions for work on the dock; returns the last row."""
    sheet.set_row_pixels(row, round(HEIGHT_MM / _INCH * _PIXELS) + 4)
    sheet.write_string(row, 0, OWN, formats["small"])
    image, (across, down) = pictures(language)
    scale = {"x_scale": WIDTH_MM / _INCH * _PIXELS / across, "y_scale": HEIGHT_MM / _INCH * _PIXELS / down}
    sheet.insert_image(
        row,
        1,
        "pictures.png",
        {"image_data": io.BytesIO(image), "description": description(language), "object_position": 1, "y_offset": 2, **scale},
    )
    say = translator(language)
    for words in map(say, (*NOTES[:2], FOLDED)):
        row += 1
        _row(sheet, row, "small")
        sheet.write_string(row, 0, f"{OWN} {words}", formats["small"])
    return row


def _validate(sheet: Any, field: Field, lists: dict[str, str], first: int, last: int, column: int) -> None:
    """Set a column's help and its choices as a list: as a suggestion, since a request may name what the tables lack."""
    words = " ".join(part for part in (field.help, "" if field.offers else field.hint and f"({field.hint})") if part)
    options = {"input_title": field.label[:_TITLE], "input_message": words[:_PROMPT] or None, "error_type": "warning"}
    if field.asked.name in lists:
        options |= {"validate": "list", "source": lists[field.asked.name]}
    elif words:
        options |= {"validate": "any"}
    else:
        return
    if options["input_message"] is None:
        del options["input_message"], options["input_title"]
    sheet.data_validation(first, column, last, column, options)


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


def _printed(sheet: Any, first: int, last: int, paper: int) -> None:
    """Set up printing, to be filled in by pencil: the usual columns on one page's width; the wires' headings repeat on each page."""
    _paper(sheet, paper)
    sheet.repeat_rows(first - 3, first - 1)
    sheet.print_area(0, 0, last, _FIRST_FOLDED - 1)
    sheet.fit_to_pages(1, 0)
    sheet.set_footer("&L&A&R&P / &N")


def _paper(sheet: Any, paper: int) -> None:
    sheet.set_landscape()
    sheet.set_paper(paper)
    sheet.set_margins(left=0.25, right=0.25, top=0.35, bottom=0.5)

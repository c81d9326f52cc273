"""A sheet as a file to be saved: in which language, for which units, of how many rows."""

from __future__ import annotations

from flask import Response, request

from service.form.described import described
from service.form.sheet.layout import MOST_WIRES, UNITS, USUAL_WIRES, Wanted, laid_out
from service.form.sheet.written_csv import csv_sheet
from service.form.sheet.written_xlsx import xlsx_sheet
from service.forms import CSV, XLSX, Form, disposition, reply_form
from service.parts import engine
from service.problems import Problem, parameter_fault
from service.replies import reply

FORMATS = {"xlsx": XLSX.media, "csv": CSV.media}
_FORMS = {each.media: each for each in (XLSX, CSV)}
_NAMES = {"en": "measuring-sheet", "de": "messblatt"}  # of the files


def sheet_file(media: str, language: str) -> Response:
    """The file in one of FORMATS, under a tag. Raises Problem (422) for parameters that cannot be read."""
    wanted, form = _wanted(language), _FORMS[media]
    of = f"{engine().catalogue.version}-{wanted.language}-{wanted.units}-{wanted.wires}"
    response = reply_form(form, lambda: _made(form, wanted), of, _NAMES[language], {"Content-Language": language})
    response.vary.add("Accept-Language")
    return response


def sheet_saved(media: str, language: str) -> Response:
    """The same for a page's link, which a browser saves and does not ask about again. Raises Problem (422)."""
    wanted, form = _wanted(language), _FORMS[media]
    headers = {"Content-Disposition": disposition(form, _NAMES[language]), "Content-Language": language, "Cache-Control": "no-store"}
    return reply(_made(form, wanted), 200, headers, media)


def _made(form: Form, wanted: Wanted) -> bytes:
    layout = laid_out(wanted, described(wanted.language))
    return csv_sheet(layout, wanted.language) if form is CSV else xlsx_sheet(layout, wanted)


def _wanted(language: str) -> Wanted:
    units, wires = request.args.get("units", UNITS[0]), request.args.get("assemblies", str(USUAL_WIRES))
    faults = []
    if units not in UNITS:
        faults.append(parameter_fault("units", "unknown_units", f"accepted here: {', '.join(UNITS)}"))
    if not (wires.isascii() and wires.isdigit() and len(wires) < 4 and 1 <= int(wires) <= MOST_WIRES):
        faults.append(parameter_fault("assemblies", "not_a_count", f"write a whole number from 1 to {MOST_WIRES}"))
    if faults:
        raise Problem(422, "No measuring sheet can be made as asked.", faults)
    return Wanted(language, units, int(wires))

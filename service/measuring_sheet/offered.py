"""The sheet as a file to download: in which language, for which units, with how many rows."""

from __future__ import annotations

from flask import Response, request

from service.formats.replies import CSV, XLSX, disposition, reply_form
from service.http.current import engine
from service.http.problems import Problem, parameter_fault
from service.http.responses import reply
from service.measuring_sheet.computed import blank_sheet
from service.measuring_sheet.layout import MOST_WIRES, UNITS, USUAL_WIRES, Wanted

FORMATS = {"xlsx": XLSX.media, "csv": CSV.media}
_FORMS = {each.media: each for each in (XLSX, CSV)}
_NAMES = {"en": "measuring-sheet", "de": "messblatt"}  # file names


def sheet_file(media: str, language: str) -> Response:
    """The file in one of FORMATS, with an entity tag. Raises Problem (422) for parameters that cannot be read."""
    wanted, form = _wanted(language), _FORMS[media]
    of = f"{engine().etag}-{wanted.language}-{wanted.units}-{wanted.wires}"
    response = reply_form(form, lambda: blank_sheet(form.media, wanted), of, _NAMES[language], {"Content-Language": language})
    response.vary.add("Accept-Language")
    return response


def sheet_saved(media: str, language: str) -> Response:
    """The same for a link on a page: browsers save it without revalidation. Raises Problem (422)."""
    wanted, form = _wanted(language), _FORMS[media]
    headers = {"Content-Disposition": disposition(form, _NAMES[language]), "Content-Language": language, "Cache-Control": "no-store"}
    return reply(blank_sheet(media, wanted), 200, headers, media)


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

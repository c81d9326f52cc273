"""A measuring sheet's workbook taken apart safely (`pricing/importing/unpacking.py`), within what such a sheet needs; what is refused, in words."""

from __future__ import annotations

import io

from pricing.importing.counting import BadWorkbook, Count, Limits
from pricing.importing.unpacking import safe_parts
from service.measuring_sheet.grid import NotASheet
from service.web_form.asking import N_

LIMITS = Limits(unpacked=8_000_000, steps=500_000, padded=2_000_000)  # a sheet of 200 wires with every column filled in takes 3 MB
DAMAGED = N_("The workbook is damaged or was cut off on its way: open it, save it as .xlsx again, and send that.")
TOO_LARGE = N_("The workbook unpacks to more than any measuring sheet has: copy what you wrote into a new sheet.")
DECLARES = N_("The workbook declares entities or a document type, which no spreadsheet writes: save it as .xlsx with a spreadsheet.")
NO_WORKBOOK = N_("This is no workbook of the kind .xlsx: save the sheet as .xlsx or as CSV, and send that.")
LOCKED = N_("The workbook is locked with a password: save it without one.")
OLD = N_("This is a workbook of the old kind .xls: save it as .xlsx.")
MACROS = N_("The workbook has macros (.xlsm): save it as .xlsx, without them. No macro is ever run here.")
_WORDS = {
    "damaged": DAMAGED, "too_large": TOO_LARGE, "declares": DECLARES, "not_a_workbook": NO_WORKBOOK, "locked": LOCKED, "old_workbook": OLD,
    "macros": MACROS,
}  # fmt: skip


def safe_workbook(body: bytes) -> io.BytesIO:
    """A zip of only those parts of the workbook that are read. Raises NotASheet."""
    try:
        return safe_parts(body, Count(LIMITS))
    except BadWorkbook as error:
        raise NotASheet(error.code, _WORDS[error.code]) from None

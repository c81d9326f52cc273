"""A sheet to be filled in, as the bytes of a file."""

from __future__ import annotations

from typing import TYPE_CHECKING

from service.formats.replies import CSV
from service.measuring_sheet.layout import Wanted, laid_out
from service.measuring_sheet.written_csv import csv_sheet
from service.measuring_sheet.written_xlsx import xlsx_sheet
from service.web_form.described import described_of

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue


def blank(catalogue: Catalogue, media: str, wanted: Wanted) -> bytes:
    """The sheet in one of the offered media types."""
    layout = laid_out(wanted, described_of(catalogue, wanted.language))
    return csv_sheet(layout, wanted.language) if media == CSV.media else xlsx_sheet(layout, wanted)

"""A quote as a workbook (Office Open XML): summary, assemblies, bill of materials, lines, totals, findings.

Numbers are real numbers, shown with the document's own decimals; days are real dates. There are no formulas: every figure is the
document's, and the sheets add nothing up. Lengths are in mm, next to the text in the quote's display units. Equal quotes give
equal bytes.
"""

from __future__ import annotations

from datetime import date

from msgspec import UNSET

from pricing.model import Quote
from service.documents.workbook import tables
from service.documents.workbook.sheet import Workbook


def workbook(quote: Quote) -> bytes:
    """The quote as a workbook."""
    book = Workbook("Preview of a quote" if quote.number is UNSET else quote.number, date.fromisoformat(quote.issued_on))
    book.add("Summary", tables.SUMMARY, tables.summary(quote))
    book.add("Assemblies", tables.ASSEMBLIES, tables.assemblies(quote))
    book.add("Bill of materials", tables.BILL, tables.bill(quote))
    book.add("Lines", tables.LINES, tables.lines(quote))
    book.add("Totals", tables.TOTALS, tables.totals(quote))
    book.add("Findings", tables.FINDINGS, tables.findings(quote))
    return book.written()

"""A quote as a workbook (Office Open XML): summary, assemblies, bill of materials, lines, totals, findings.

Numbers are numbers, shown with the document's own decimals; days are dates. There are no formulas: every figure is the document's, and the
sheets add nothing up. Lengths stand in mm, beside the text in the quote's display units. Equal documents give equal bytes.
"""

from __future__ import annotations

from datetime import date

from service.documents.quoted import Document
from service.documents.workbook import tables
from service.documents.workbook.sheet import Workbook


def workbook(document: Document) -> bytes:
    """The quote `document` as a workbook."""
    book = Workbook(document.get("number") or "Preview of a quote", date.fromisoformat(document["issued_on"]))
    book.add("Summary", tables.SUMMARY, tables.summary(document))
    book.add("Assemblies", tables.ASSEMBLIES, tables.assemblies(document))
    book.add("Bill of materials", tables.BILL, tables.bill(document))
    book.add("Lines", tables.LINES, tables.lines(document))
    book.add("Totals", tables.TOTALS, tables.totals(document))
    book.add("Findings", tables.FINDINGS, tables.findings(document))
    return book.written()

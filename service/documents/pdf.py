"""A page as a PDF: tagged for screen readers, of the page's own content alone. Nothing is fetched, from no file and no network."""

from __future__ import annotations


class NoPdf(RuntimeError):
    """No PDF can be made here; says what has to be installed."""


NO_LIBRARY = "PDF needs the extra `pdf` of this package (WeasyPrint): install it, or ask for HTML."
NO_SYSTEM_LIBRARY = (
    "PDF needs the Debian packages libpango-1.0-0, libpangoft2-1.0-0 and libharfbuzz-subset0: install them, or ask for HTML."
)


def pdf_of(html: bytes) -> bytes:
    """The page `html` (UTF-8) as a PDF; equal pages give equal bytes. Raises NoPdf; ValueError for a page that refers to anything outside."""
    try:
        from weasyprint import HTML
        from weasyprint.urls import FatalURLFetchingError, URLFetcher
    except ModuleNotFoundError:
        raise NoPdf(NO_LIBRARY) from None
    except OSError:
        raise NoPdf(NO_SYSTEM_LIBRARY) from None
    fetcher = URLFetcher(allowed_protocols={"data"}, allow_redirects=False, fail_on_errors=True)
    try:
        made: bytes = HTML(string=html.decode(), url_fetcher=fetcher).write_pdf(pdf_tags=True)
    except FatalURLFetchingError as error:
        raise ValueError(str(error)) from None
    return made

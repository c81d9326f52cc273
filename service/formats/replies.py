"""Document responses: with a file name and language, compressed where that helps, each format and coding with its own entity tag."""

from __future__ import annotations

import gzip
import re
from collections.abc import Callable, Mapping
from typing import NamedTuple
from urllib.parse import quote as percent_encoded

from flask import Response

from service.formats.release import made_by
from service.http.responses import CODED, reply_tagged, takes_gzip, unchanged

LANGUAGE = "en"
VARY = "Accept, Accept-Encoding"  # what the choice of format depends on
PAGE_POLICY = "default-src 'none'; style-src {styles}; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
_UNSAFE = re.compile(r"[^A-Za-z0-9._]+", re.ASCII)
_LEVEL = 6
_MOST_NAME = 80


class Form(NamedTuple):
    """A document format. `ending`: its file extension; `saved`: browsers save it instead of showing it; `packs`: gzip makes it smaller."""

    media: str
    ending: str
    saved: bool = False
    packs: bool = True


HTML = Form("text/html", "html")
PDF = Form("application/pdf", "pdf", packs=False)
SVG = Form("image/svg+xml", "svg")
CSV = Form("text/csv", "csv", saved=True)
XML = Form("application/xml", "xml", saved=True)
XLSX = Form("application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", "xlsx", saved=True, packs=False)


def reply_form(form: Form, make: Callable[[], bytes], of: str, name: str, headers: Mapping[str, str] | None = None) -> Response:
    """A document in one format; 304 if the client already has it, and then nothing is rendered.

    `of` identifies what it is made from and in which state; `name` is a file name without its extension.
    """
    coded = form.packs and takes_gzip()
    etag = f"{of}-{form.ending}-{made_by()}{CODED if coded else ''}"
    response = unchanged(etag)
    if response is None:
        all_headers = {"Content-Disposition": disposition(form, name), "Content-Language": LANGUAGE, **(headers or {})}
        body = make()
        if coded:
            body, all_headers["Content-Encoding"] = gzip.compress(body, _LEVEL, mtime=0), "gzip"
        response = reply_tagged(body, etag, form.media, all_headers)
    response.headers["Vary"] = VARY
    return response


def disposition(form: Form, name: str) -> str:
    """`Content-Disposition` (RFC 6266) with a file name that no system can take for a path or a command, and the full name beside it."""
    plain = _UNSAFE.sub("-", name).strip("-.")[:_MOST_NAME] or "document"
    how = f'{"attachment" if form.saved else "inline"}; filename="{plain}.{form.ending}"'
    whole = re.sub(r'[\x00-\x1f\x7f/\\:*?"<>|]+', "-", name)[:_MOST_NAME]
    return how if whole == plain else f"{how}; filename*=UTF-8''{percent_encoded(f'{whole}.{form.ending}', safe='')}"

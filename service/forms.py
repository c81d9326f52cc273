"""Replies that are documents: named for saving, in their language, packed where that helps, each form and coding with a tag of its own."""

from __future__ import annotations

import gzip
import re
from collections.abc import Callable, Mapping
from typing import NamedTuple
from urllib.parse import quote as percent_encoded

from flask import Response

from service.made_by import made_by
from service.replies import CODED, reply_tagged, takes_gzip, unchanged

LANGUAGE = "en"
VARY = "Accept, Accept-Encoding"  # what the form of a document depends on
PAGE_POLICY = "default-src 'none'; style-src {styles}; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
_UNSAFE = re.compile(r"[^A-Za-z0-9._]+", re.ASCII)
_LEVEL = 6
_MOST_NAME = 80


class Form(NamedTuple):
    """A form of a document. `ending` of its file; `saved`: a browser saves it instead of showing it; `packs`: gzip makes it smaller."""

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
    """A document in one form; 304 where the client has it, and then nothing is made.

    `of` tells what it is made from, and from which state of it; `name` is a file name without its ending.
    """
    coded = form.packs and takes_gzip()
    etag = f"{of}-{form.ending}-{made_by()}{CODED if coded else ''}"
    response = unchanged(etag)
    if response is None:
        said = {"Content-Disposition": disposition(form, name), "Content-Language": LANGUAGE, **(headers or {})}
        body = make()
        if coded:
            body, said["Content-Encoding"] = gzip.compress(body, _LEVEL, mtime=0), "gzip"
        response = reply_tagged(body, etag, form.media, said)
    response.headers["Vary"] = VARY
    return response


def disposition(form: Form, name: str) -> str:
    """`Content-Disposition` (RFC 6266) with a file name that no system can take for a path or a command, and the whole one beside it."""
    plain = _UNSAFE.sub("-", name).strip("-.")[:_MOST_NAME] or "document"
    how = f'{"attachment" if form.saved else "inline"}; filename="{plain}.{form.ending}"'
    whole = re.sub(r'[\x00-\x1f\x7f/\\:*?"<>|]+', "-", name)[:_MOST_NAME]
    return how if whole == plain else f"{how}; filename*=UTF-8''{percent_encoded(f'{whole}.{form.ending}', safe='')}"

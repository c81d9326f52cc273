"""The form's custom element, usable on any page: it contains no data and no key."""

from __future__ import annotations

from flask import Blueprint, Response, request

from service.http.responses import CODED, produces, reply, takes_gzip, unchanged
from service.web_form.module import module, packed, version

element = Blueprint("element", __name__)
SCRIPT = "text/javascript"
FOR_EVER = "public, max-age=31536000, immutable"


@element.get("/form/element.js")
@produces(SCRIPT)
def script() -> Response:
    """The module. Cached indefinitely if the request names the current version (`?v=`); with another version or none, it must be
    revalidated on each use.
    """
    coded = takes_gzip()
    etag = version() + (CODED if coded else "")
    response = unchanged(etag) or reply(packed() if coded else module(), headers=_coding(etag, coded=coded), media=SCRIPT)
    response.headers["Cache-Control"] = FOR_EVER if request.args.get("v") == version() else "public, no-cache"
    response.headers["Access-Control-Allow-Origin"] = "*"
    response.vary.add("Accept-Encoding")
    return response


def _coding(etag: str, *, coded: bool) -> dict[str, str]:
    return {"ETag": f'"{etag}"', **({"Content-Encoding": "gzip"} if coded else {})}

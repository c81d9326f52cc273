"""The form's element, for any page: it holds no data and no key."""

from __future__ import annotations

from flask import Blueprint, Response, request

from service.form.module import module, packed, version
from service.replies import CODED, offers, reply, takes_gzip, unchanged

element = Blueprint("element", __name__)
SCRIPT = "text/javascript"
FOR_EVER = "public, max-age=31536000, immutable"


@element.get("/form/element.js")
@offers(SCRIPT)
def script() -> Response:
    """The module; for ever where its version is asked for (`?v=`), to be asked about again where it is not, or is another."""
    coded = takes_gzip()
    etag = version() + (CODED if coded else "")
    response = unchanged(etag) or reply(packed() if coded else module(), headers=_coding(etag, coded=coded), media=SCRIPT)
    response.headers["Cache-Control"] = FOR_EVER if request.args.get("v") == version() else "public, no-cache"
    response.headers["Access-Control-Allow-Origin"] = "*"
    response.vary.add("Accept-Encoding")
    return response


def _coding(etag: str, *, coded: bool) -> dict[str, str]:
    return {"ETag": f'"{etag}"', **({"Content-Encoding": "gzip"} if coded else {})}

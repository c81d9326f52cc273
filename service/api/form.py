"""What a shop's form is built from: its description, and how a typed length is understood."""

from __future__ import annotations

from functools import lru_cache, partial

from flask import Blueprint, Response

from service.api.listings import versions
from service.encoding import json
from service.encoding.gzip import pack_small
from service.formats.release import made_by
from service.formats.replies import SVG
from service.http.bodies import decoded, read_body
from service.http.compression import compressed
from service.http.current import engine
from service.http.parameters import query_parameters
from service.http.problems import unknown
from service.http.responses import produces, reply_coded, reply_json, reply_tagged, unchanged
from service.schemas.lengths import read_typed, understood
from service.web_form.described import described
from service.web_form.illustrations import NAMES, illustration
from service.web_form.language import language_asked

form = Blueprint("form", __name__)


@form.get("/v1/form")
@query_parameters("lang")
def description() -> Response:
    """The questions, the choices, and which parts fit together in the catalogue in force."""
    language = language_asked()
    etag = f"{engine().etag}-{made_by()}-{language}"
    made = partial(_description, etag, language)
    return reply_coded(made, partial(_packed, etag, language), etag, {"Content-Language": language}, "Accept-Encoding, Accept-Language")


@lru_cache(maxsize=4)
def _description(etag: str, language: str) -> bytes:
    """The description that has this entity tag, kept: every visit of a form asks for it."""
    return json.write({**versions(engine()), **described(language)})


@lru_cache(maxsize=4)
def _packed(etag: str, language: str) -> bytes:
    return pack_small(_description(etag, language))


@form.get("/v1/form/illustrations/<name>")
@produces(SVG.media)
@query_parameters("lang")
def drawn(name: str) -> Response:
    """Draw a fitting with its bearing marked, or the point that was measured to."""
    if name not in NAMES:
        raise unknown("name", "unknown_drawing", f"There is no drawing with this name; the names are {', '.join(NAMES)}.")
    language = language_asked()
    etag = f"{name}-{language}-{made_by()}"
    headers = {"Content-Language": language, "Vary": "Accept-Language"}
    return unchanged(etag) or reply_tagged(illustration(name, language), etag, SVG.media, headers)


@form.post("/v1/lengths")
@query_parameters("lang")
@compressed
def lengths() -> Response:
    """Each typed length in both units, or the reason it cannot be read; nothing is stored."""
    language = language_asked()
    typed = read_typed(decoded(read_body()))
    response = reply_json({"lengths": [understood(each, zero=typed.zero, language=language) for each in typed.lengths]})
    response.headers["Content-Language"] = language
    response.vary.add("Accept-Language")
    return response

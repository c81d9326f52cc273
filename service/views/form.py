"""What a shop's form is built from: its description, and what a length that was typed is understood to be."""

from __future__ import annotations

from flask import Blueprint, Response

from service import json
from service.bodies import decoded, read_body
from service.form.described import described
from service.form.illustrations import NAMES, illustration
from service.form.language import language_asked
from service.forms import SVG
from service.listings import versions
from service.made_by import made_by
from service.parameters import takes
from service.parts import engine
from service.problems import Problem
from service.replies import offers, reply_json, reply_tagged, unchanged
from service.schemas.lengths import read_typed, understood

form = Blueprint("form", __name__)


@form.get("/v1/form")
@takes("lang")
def description() -> Response:
    """Questions, choices, and what goes together in the catalogue in force."""
    language = language_asked()
    etag = f"{engine().etag}-{made_by()}-{language}"
    headers = {"Content-Language": language, "Vary": "Accept-Language"}
    return unchanged(etag) or reply_tagged(json.write({**versions(engine()), **described(language)}), etag, headers=headers)


@form.get("/v1/form/illustrations/<name>")
@offers(SVG.media)
@takes("lang")
def drawn(name: str) -> Response:
    """A fitting with its bearing marked, or the place it was measured to."""
    if name not in NAMES:
        raise Problem(404, f"There is no such drawing; there are {', '.join(NAMES)}.")
    language = language_asked()
    etag = f"{name}-{language}-{made_by()}"
    headers = {"Content-Language": language, "Vary": "Accept-Language"}
    return unchanged(etag) or reply_tagged(illustration(name, language), etag, SVG.media, headers)


@form.post("/v1/lengths")
def lengths() -> Response:
    """What was typed, in both units, or why it cannot be read; nothing is stored."""
    typed = read_typed(decoded(read_body()))
    return reply_json({"lengths": [understood(each, zero=typed.zero) for each in typed.lengths]})

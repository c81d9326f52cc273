"""The description of the form that a shop's page is built from."""

from __future__ import annotations

from flask import Blueprint, Response, request

from service import json
from service.form.description import describe
from service.form.speech import LANGUAGES
from service.listings import versions
from service.made_by import made_by
from service.parameters import takes
from service.parts import engine
from service.problems import Problem, parameter_fault
from service.replies import reply_tagged, unchanged

form = Blueprint("form", __name__)


@form.get("/v1/form")
@takes("lang")
def description() -> Response:
    """Questions, choices, and what goes together in the catalogue in force."""
    language = _language()
    etag = f"{engine().etag}-{made_by()}-{language}"
    headers = {"Content-Language": language, "Vary": "Accept-Language"}
    return unchanged(etag) or reply_tagged(
        json.write({**versions(engine()), **describe(engine().catalogue, language)}), etag, headers=headers
    )


def _language() -> str:
    """`?lang=`, else the language that the request prefers, else English. Raises Problem (422)."""
    named = request.args.get("lang")
    if named is None:
        return request.accept_languages.best_match(LANGUAGES, LANGUAGES[0]) or LANGUAGES[0]
    if named not in LANGUAGES:
        words = f"the form is written in {' and '.join(LANGUAGES)}"
        raise Problem(422, "The form is not written in this language.", [parameter_fault("lang", "unknown_language", words)])
    return named

"""The language that an address of the form is asked in."""

from __future__ import annotations

from flask import request

from service.form.speech import LANGUAGES
from service.problems import Problem, parameter_fault


def language_asked() -> str:
    """`?lang=`, else the language that the request prefers, else English. Raises Problem (422)."""
    named = request.args.get("lang")
    if named is not None and named not in LANGUAGES:
        words = f"the form is written in {' and '.join(LANGUAGES)}"
        raise Problem(422, "The form is not written in this language.", [parameter_fault("lang", "unknown_language", words)])
    return language_wanted()


def language_wanted(posted: str = "") -> str:
    """For pages, which refuse no language: the one posted, else `?lang=`, else the one that the request prefers, else English."""
    for each in (posted, request.args.get("lang", "")):
        if each in LANGUAGES:
            return each
    return request.accept_languages.best_match(LANGUAGES, LANGUAGES[0]) or LANGUAGES[0]

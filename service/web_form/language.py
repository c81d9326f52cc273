"""The language of the form's pages and documents."""

from __future__ import annotations

from flask import request

from service.encoding.languages import LANGUAGES
from service.http.languages import preferred_language, requested_language


def language_asked() -> str:
    """`?lang=`, else the language that the request prefers, else English. Raises Problem (422)."""
    return requested_language("the form")


def language_wanted(posted: str = "") -> str:
    """For pages, which reject no language: the posted one, otherwise `?lang=`, otherwise the one the request prefers, otherwise English."""
    for each in (posted, request.args.get("lang", "")):
        if each in LANGUAGES:
            return each
    return preferred_language()

"""Language negotiation: `?lang=`, else `Accept-Language` (RFC 9110, 12.5.4; lookup as in RFC 4647, 3.4: de-AT matches de), else a default."""

from __future__ import annotations

from collections.abc import Callable

from flask import request

from service.encoding.languages import LANGUAGES
from service.http.problems import Problem, parameter_fault


def requested_language(what: str, usual: Callable[[], str] | None = None) -> str:
    """The language requested for `what`, such as "a quotation".

    If the request names no supported language, the result is that of `usual`, for example the quote's own language, or English. Raises
    Problem (422) for an unsupported `?lang=`.
    """
    named = request.args.get("lang")
    if named is not None and named not in LANGUAGES:
        words = f"{what} is written in {' and '.join(LANGUAGES)}"
        raise Problem(
            422, f"{what[:1].upper()}{what[1:]} is not written in this language.", [parameter_fault("lang", "unknown_language", words)]
        )
    return named or preferred_language(usual)


def preferred_language(usual: Callable[[], str] | None = None) -> str:
    """The most preferred supported language in `Accept-Language`; if there is none, that of `usual`, or English."""
    wished = (tag.partition("-")[0].lower() for tag in request.accept_languages.values())
    found = next((each for each in wished if each in LANGUAGES), None)
    return found or (LANGUAGES[0] if usual is None else usual())

"""The limits of an answer, derived from the request's own fields, so that no page accepts what would be refused; and the remedy to show."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from service.assembly_table.columns import field_named
from service.schemas.fields import Count, Email, Telephone, Text
from service.schemas.schema import Many
from service.web_form.asking import N_, Question

Say = Callable[[str], str]
_EMAIL = r"[^ @]+@[^ @.]+(\.[^ @.]+)+"  # gentler than RFC 5321 and stricter than the request's field: what people leave out by a slip
_ADDRESS = N_("Write an address such as owner@example.org.")
_EMAILS = (
    ("[^@]*", N_("The @ is missing. Write an address such as owner@example.org.")),
    (".*@.*@.*", N_("There is more than one @. Write one address, such as owner@example.org.")),
    (".* .*", N_("There is a space in it. Write an address such as owner@example.org.")),
    ("@.*", N_("What stands before the @ is missing. Write an address such as owner@example.org.")),
    (".*@[^.]*", N_("After the @ the dot is missing, as in example.org. Write an address such as owner@example.org.")),
)
_TELEPHONE = N_("Write a telephone number of at least five digits, for example +1 401 555 0142.")
WRITTEN = ("count", "lengths", "text", "lines", "email")  # other kinds are limited by their choices or by the service's parsers


def limits(asked: Question, say: Say) -> dict[str, Any]:
    """`least` and `most` (a count itself, else its characters or readings), `pattern`, and `wrong`, the remedy; empty without a limit."""
    field = field_named(asked.path) if asked.kind in WRITTEN else None
    if isinstance(field, Count):
        words = say(N_("Write a whole number from {least} to {most}."))
        return {"minimum": field.least, "maximum": field.most, "wrong": words.format(least=field.least, most=field.most)}
    if isinstance(field, Many):
        words = say(N_("Write at most {most} readings."))
        return {"minimum": max(field.least, 1), "maximum": field.most, "wrong": words.format(most=field.most)}
    if isinstance(field, Email):
        wrongs = [{"pattern": pattern, "words": say(words)} for pattern, words in _EMAILS]
        return {"minimum": 1, "maximum": field.most, "pattern": _EMAIL, "wrong": say(_ADDRESS), "wrongs": wrongs}
    if isinstance(field, Telephone):
        return {"minimum": 1, "maximum": field.most, "pattern": field.PATTERN, "wrong": say(_TELEPHONE)}
    if isinstance(field, Text):
        return {"minimum": 1, "maximum": field.most, "wrong": say(N_("Write at most {most} characters.")).format(most=field.most)}
    return {}

"""The limits of an answer, derived from the request's own fields, so that no page accepts what would be refused; and the remedy to show."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from service.assembly_table.columns import field_named
from service.schemas.fields import Count, Email, Text
from service.schemas.schema import Many
from service.web_form.asking import N_, Question

Say = Callable[[str], str]
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
        words = say(N_("Write an address such as owner@example.org."))
        return {"minimum": 1, "maximum": field.most, "pattern": field.PATTERN, "wrong": words}
    if isinstance(field, Text):
        return {"minimum": 1, "maximum": field.most, "wrong": say(N_("Write at most {most} characters.")).format(most=field.most)}
    return {}

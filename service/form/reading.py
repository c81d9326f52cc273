"""Answers as a page posts them, and what is wrong with one before a whole request is read."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import Decimal
from typing import Any

from marshmallow import ValidationError

from pricing.errors import QuantityError
from pricing.units import imperial, metric, parse_temperature
from service.form.answering import Shown
from service.form.asking import N_
from service.schemas.fields import Email, read_length

Say = Callable[[str], str]
FLAGS = {"yes": True, "no": False}
_EMAIL = Email(254)
_WANTED = N_("This is needed.")
_COUNT = N_("Write a whole number from 1 to 999.")


def posted(kind: str, values: Sequence[str]) -> Any:
    """The answer in a field's values; None where nothing was written."""
    written = [value.strip() for value in values if value.strip()]
    if not written:
        return None
    if kind == "lengths":
        return written
    if kind in ("flag", "presence"):
        return FLAGS.get(written[0])
    if kind == "count":
        return int(written[0]) if written[0].isascii() and written[0].isdigit() and len(written[0]) < 10 else written[0]
    return written[0]


def faults(asked: Sequence[Shown], say: Say) -> dict[str, str]:
    """What is wrong, by question; a sentence with the remedy each."""
    found = {each.path: words for each in asked if (words := _fault(each, say))}
    answered = {each.path for each in asked if each.answer is not None}
    for each in asked:
        if each.answer is None and each.question.get("together") in answered:
            found[each.path] = each.question["lacking"]
    return found


def _fault(each: Shown, say: Say) -> str:
    answer, kind = each.answer, each.question["kind"]
    if answer is None:
        return str(each.question.get("lacking") or say(_WANTED)) if each.question["required"] else ""
    try:
        if kind in ("length", "lengths"):
            for written in [answer] if isinstance(answer, str) else answer:
                read_length(written, each.question["zero"])
        if kind == "temperature":
            parse_temperature(answer)
        if kind == "email":
            _EMAIL.read(answer)
    except ValidationError as error:
        return " ".join(map(str, error.messages))
    except QuantityError as error:
        return error.detail
    if kind == "count" and not (isinstance(answer, int) and 1 <= answer <= 999):
        return say(_COUNT)
    return ""


def echo(each: Shown) -> str:
    """What a length was understood to be, in both units; empty for what is none."""
    if each.question["kind"] not in ("length", "lengths") or each.answer is None:
        return ""
    try:
        lengths = [read_length(one, each.question["zero"]) for one in ([each.answer] if isinstance(each.answer, str) else each.answer)]
    except ValidationError:
        return ""
    return "; ".join(map(_both, lengths))


def _both(mm: Decimal) -> str:
    return f"{metric(mm)} = {imperial(mm)}"

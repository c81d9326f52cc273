"""Reads posted answers, and finds faults in single answers before a whole request is read."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import Decimal
from typing import Any

from marshmallow import ValidationError

from pricing.errors import QuantityError
from pricing.units import imperial, metric, parse_force, parse_temperature
from pricing.wording import localised
from service.schemas.failure import Failure, translated_detail
from service.schemas.fields import read_length
from service.web_form.answering import Shown, beyond_limits, wrong_words

FLAGS = {"yes": True, "no": False}
_PARSED = {"temperature": parse_temperature, "force": parse_force}


def posted(kind: str, values: Sequence[str]) -> Any:
    """The answer in a field's values; None if nothing was entered."""
    written = [value.replace("\r\n", "\n").strip() for value in values if value.strip()]  # a page sends CR LF, which counts twice
    if not written:
        return None
    if kind == "lengths":
        return written
    if kind in ("flag", "presence"):
        return FLAGS.get(written[0])
    if kind == "count":
        return int(written[0]) if written[0].isascii() and written[0].isdigit() and len(written[0]) < 10 else written[0]
    return written[0]


def faults(asked: Sequence[Shown], say: Callable[[str], str]) -> dict[str, str]:
    """The faults by question; each is one sentence with the remedy, translated by `say`."""
    return {each.path: words for each in asked if (words := _fault(each, say))}


def _fault(entry: Shown, say: Callable[[str], str]) -> str:
    answer, kind = entry.answer, entry.question["kind"]
    if answer is None:
        return str(entry.question["lacking"]) if entry.missing else ""
    if beyond_limits(entry.question, answer):
        return wrong_words(entry.question, answer)
    try:
        if kind in ("length", "lengths"):
            for written in [answer] if isinstance(answer, str) else answer:
                read_length(written, entry.question["zero"])
        if kind in _PARSED:
            _PARSED[kind](answer)
    except ValidationError as error:
        return " ".join(translated_detail(one, say) for one in error.messages)
    except QuantityError as error:
        return Failure(error.code, error.message, error.values).translated(say)
    return ""


def echo(each: Shown, language: str) -> str:
    """How a length was understood, in both units as the language writes them; empty if it is not a length."""
    if each.question["kind"] not in ("length", "lengths") or each.answer is None:
        return ""
    try:
        lengths = [read_length(one, each.question["zero"]) for one in ([each.answer] if isinstance(each.answer, str) else each.answer)]
    except ValidationError:
        return ""
    return "; ".join(_both(each, language) for each in lengths)


def _both(mm: Decimal, language: str) -> str:
    return localised(f"{metric(mm)} = {imperial(mm)}", language)

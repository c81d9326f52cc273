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
from service.schemas.fields import read_length

Say = Callable[[str], str]
FLAGS = {"yes": True, "no": False}
SETTING = ("turnbuckle.setting.upper_exposed", "turnbuckle.setting.lower_exposed")
ONE_SETTING = N_(
    "One screw is written and this one is not. Measure it before anything is unscrewed: a screw that shows no thread is 0 mm, "
    "but one that was not measured is not zero. If it cannot be measured any more, empty the other one too, and measure the length to the stud, without the turnbuckle."
)
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
    known = {each.path: each for each in asked if each.path in SETTING}
    lacking = [path for path, each in known.items() if each.answer is None]
    if len(known) == len(SETTING) and len(lacking) == 1:
        found.setdefault(lacking[0], say(ONE_SETTING))
    return found


def _fault(each: Shown, say: Say) -> str:
    answer, kind = each.answer, each.question["kind"]
    if answer is None:
        return say(_WANTED) if each.question["required"] else ""
    try:
        if kind in ("length", "lengths"):
            for written in [answer] if isinstance(answer, str) else answer:
                read_length(written, each.question["zero"])
        if kind == "temperature":
            parse_temperature(answer)
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

"""The readings of a number written without a unit. Nothing is guessed: the person who wrote it chooses among them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal

# The longest plausible wire of a boat, by unit (common practice, no source). Feet take only whole numbers: rules in feet are divided into inches.
_MOST = {"mm": 100_000, "m": 100, "in": 3937, "ft": 328}
_FEET_INCHES = re.compile(r"([0-9]{1,3})(?: +| *- *)((?:[0-9]|1[01])(?: +[0-9]+ ?/ ?[0-9]+|[.,][0-9]+)?)")
_FRACTION = re.compile(r"(?:[0-9]+(?: *- *| +))?[0-9]+ ?/ ?[0-9]+")
_WHOLE = re.compile(r"[0-9]{1,6}")
_DECIMAL = re.compile(r"([0-9]{1,6})[.,]([0-9]{1,6})")
_GROUPED = re.compile(r"[0-9]{1,3} [0-9]{3}")


def completions(number: str) -> tuple[str, ...]:
    """The lengths that a number without a unit may stand for, each as text with its unit; empty if it is not such a number."""
    return tuple(_completions(" ".join(number.split())))


def _completions(number: str) -> Iterator[str]:
    if _WHOLE.fullmatch(number):
        yield from (f"{number} {unit}" for unit in ("mm", "m", "in", "ft") if int(number) <= _MOST[unit])
    elif match := _DECIMAL.fullmatch(number):
        yield from _of_decimal(number, match)
    elif _GROUPED.fullmatch(number):
        yield f"{number} mm"
    elif _FRACTION.fullmatch(number):
        yield f"{number} in"
    elif match := _FEET_INCHES.fullmatch(number):
        yield f"{match[1]} ft {match[2]} in"


def _of_decimal(number: str, match: re.Match[str]) -> Iterator[str]:
    if "," in number and len(match[2]) == 3:  # the comma may separate thousands: each completion is written unambiguously
        yield from (f"{match[1]}.{match[2]} m", f"{match[1]}{match[2]} mm", f"{match[1]}.{match[2]} in")
        return
    size = Decimal(f"{match[1]}.{match[2]}")
    yield from (f"{number} {unit}" for unit in ("mm", "m", "in") if size <= _MOST[unit])

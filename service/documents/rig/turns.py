"""Turns of a screw as a rigger counts them: in half turns, as a body is set and pinned, with the effect of that rounding on the length."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

from pricing.units import imperial, metric
from service.documents.speech import Speech

_HALF = Decimal("0.5")
VISIBLE = Decimal("0.5")  # mm: a change of the finished length that a rule shows
LONGER = "Set by these turns, the finished length comes out %(length)s longer than by the figures."
SHORTER = "Set by these turns, the finished length comes out %(length)s shorter than by the figures."
NONE = "Turns of the body from the recorded setting: none."
OPEN = "Turns of the body from the recorded setting: %(turns)s open, out of the body."
CLOSED = "Turns of the body from the recorded setting: %(turns)s closed, into the body."
LESS = "Turns of the body from the recorded setting: less than half a turn."


def by_halves(turns: Decimal) -> Decimal:
    """To the nearest half turn, half up."""
    return (turns / _HALF).quantize(Decimal(1), ROUND_HALF_UP) * _HALF


def in_words(turns: Decimal) -> str:
    """A count of half turns in words: `33 1/2`."""
    whole, rest = divmod(turns, 1)
    if not rest:
        return f"{whole:f}"
    return f"{whole:f} 1/2" if whole else "1/2"


def as_json(turns: Decimal) -> dict[str, str]:
    """A count of half turns for JSON: as a number and in words."""
    return {"count": f"{turns.normalize():f}" if turns else "0", "says": in_words(turns)}


def from_recorded(turns: Decimal, speech: Speech) -> str:
    """A change from the recorded setting, in turns of the body, of which those that open are positive."""
    rounded = by_halves(abs(turns))
    if not rounded:
        return speech.say(LESS if turns else NONE)
    return speech.say(OPEN if turns > 0 else CLOSED, turns=in_words(rounded))


def change(mm: Decimal, speech: Speech) -> str:
    """What setting by rounded turns does to the finished length, in the units that come first and the others; empty if a rule would not
    show it.
    """
    if abs(mm) <= VISIBLE:
        return ""
    texts = speech.local(metric(abs(mm))), speech.local(imperial(abs(mm)))
    first, other = texts if speech.units == "metric" else reversed(texts)
    return speech.say(LONGER if mm > 0 else SHORTER, length=f"{first} ({other})")

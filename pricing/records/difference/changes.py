"""One change as data, and in words."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any, NamedTuple

from pricing.values import Count, Listing, Money, Number, Phrase, Quantity, Text, Value, Values, phrase, values_document
from pricing.wording import Voice
from pricing.wording.catalogue import LANGUAGES, names

Json = dict[str, Any]


class Change(NamedTuple):
    """A change at one place. `code`: how it changed, a sentence of the catalogue under `change`; `what` changed, from outside inward.

    `pointer` (RFC 6901) leads into what was asked for the later issue, or into its document; into the earlier if it is gone. `quiet`: left
    out of the words for people, since another change says as much. `weighs`: lengths, parts and sums, for which a customer needs to know.
    `echo`: says no more than a cause at the same place.
    """

    code: str
    pointer: str
    what: Listing
    tag: str | None = None
    values: Values = ()
    quiet: bool = False
    weighs: bool = False
    echo: bool = False

    def sentence(self, voice: Voice) -> str:
        """The change as a sentence."""
        text = voice.phrase(Phrase(f"change.{self.code}", (("what", self.what), *self.values)))
        return text[:1].upper() + text[1:] if self.tag is None else f"{self.tag}, {text}"

    def document(self, voice: Voice) -> Json:
        """The change as it stands in a revision. What changed is known by its place, so that of `what` only an article's name is added."""
        named = [("name", each) for each in self.what.items if isinstance(each, Text)]
        return {
            "code": self.code,
            "pointer": self.pointer,
            "tag": self.tag,
            "values": values_document((*named, *self.values)),
            "message": self.sentence(voice),
        }


def what(*named: str | Value) -> Listing:
    """What changed: keys of the catalogue, or values."""
    return Listing(tuple([phrase(each) if isinstance(each, str) else each for each in named]), "comma")


def code_of(before: object, after: object, *, given: bool) -> str:
    """How a value changed, where None is none. `given`: it is somebody's answer, rather than a result."""
    if before is None:
        return "given" if given else "now"
    if after is None:
        return "not-given" if given else "gone"
    return "other"


def both(before: Value | None, after: Value | None) -> Values:
    """The values of a change, without one that is none."""
    return tuple([(name, each) for name, each in (("before", before), ("after", after)) if each is not None])


def money(amount: str | None, currency: str) -> Money | None:
    """An amount of a document."""
    return None if amount is None else Money(Decimal(amount), currency)


def amount_of(quantity: str, unit: str) -> Value:
    """A quantity of a document: metres, or pieces."""
    number = Decimal(quantity)
    if unit == "m":
        return Quantity(number, "m")
    return Count(int(number)) if number == number.to_integral_value() else Number(number)


def choice(group: str, value: str) -> Value:
    """A word of a list by its phrase; one that the catalogue does not name, such as a grade of wire, as it is."""
    key = f"{group}.{value}"
    return Phrase(key) if key in names(LANGUAGES[0]) else Text(value)


def told_apart(before: Value, after: Value, exact: Callable[[], tuple[Value, Value]]) -> tuple[Value, Value]:
    """Two values, or the same ones exactly if they read alike in any units."""
    if any(_alike(Voice(units=units), before, after) for units in ("metric", "imperial")):
        return exact()
    return before, after


def _alike(voice: Voice, before: Value, after: Value) -> bool:
    return voice.value(before) == voice.value(after)

"""What the drawing says: the labels beside its parts, and its text alternative."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from pricing.fittings import FAMILIES
from pricing.fittings.base import HOLE
from pricing.measurement.datums import OF_LINK
from service.documents.speech import Speech

from .parts import Chain, Part, end_title
from .reading import ReadTo, Values


def label(part: Part) -> str:
    """A part's label: its name if it is known, otherwise its title with a question mark."""
    return part.name or (part.title if part.known else f"{part.title}: ?")


def sentence_of(part: Part, speech: Speech, *, asked: bool) -> str:
    """A part in one sentence."""
    name = part.name or ("" if part.known else speech.say("not told yet"))
    said = f"{part.title}: {name}" if name else part.title
    return speech.say("%(part)s. This is asked for now.", part=said) if asked else f"{said}."


def reading_sentences(reads: Mapping[str, ReadTo | None], chains: Sequence[Chain], values: Values, speech: Speech) -> list[str]:
    """Sentences that say where the length that is asked for begins and ends."""
    found = []
    for chain in chains:
        read = reads[chain.end]
        if read is None:
            found.append(speech.say("%(end)s: where the length ends is not known yet.", end=end_title(chain.end, values, speech)))
            continue
        part = chain.read_on(read)
        place = _place(part, read.datum, speech)
        named = part.name or part.title
        if chain.end == "upper":
            found.append(speech.say("From here: %(part)s, %(place)s.", part=named, place=place))
        else:
            found.append(speech.say("To here: %(part)s, %(place)s.", part=named, place=place))
    return found


def _place(part: Part, datum: str, speech: Speech) -> str:
    """The point on a part where a reading ends; a bearing is described if the kind of part allows it."""
    kind = part.member.kind if part.member else ""
    if datum == "bearing" and kind == "stud":
        return speech.say("the last thread")
    if datum == "bearing" and (kind.startswith("screw") or _datums(kind) == HOLE):
        return speech.say("the wall of the pin hole farthest from the wire")
    return speech.phrase(f"datum.{datum}")


def _datums(kind: str) -> tuple[str, ...]:
    return FAMILIES[kind].datums if kind in FAMILIES else OF_LINK.get(kind.removesuffix(" link"), ())

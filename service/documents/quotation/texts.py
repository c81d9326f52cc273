"""Texts of a paper, with their language where that is another than the paper's, and facts: names with what is said of them."""

from __future__ import annotations

from msgspec import Struct

from pricing.cautions import caution_in
from service.documents.speech import Speech


class Text(Struct, frozen=True):
    """`language` is None for the paper's own, and for names, which are of none."""

    text: str
    language: str | None


class Fact(Struct, frozen=True):
    """A name and what is said of it; `other`: the same length in the other units. `rows`: several lines, as of an address."""

    name: str
    said: str
    other: str = ""
    rows: tuple[str, ...] = ()


def named(name: str, speech: Speech) -> Text:
    """An article's name, translated if it is composed of known words; otherwise as the shop has it, in English."""
    if speech.language == "en":
        return Text(name, None)
    said = speech.name(name)
    return Text(name, "en") if said is None else Text(said, None)


def spoken(caution: str, speech: Speech) -> Text:
    """A caution in the paper's language; one of an earlier release stays as it was issued."""
    said = caution_in(caution, speech.language)
    return Text(caution, "en" if speech.language != "en" else None) if said is None else Text(said, None)

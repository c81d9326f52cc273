"""Texts of a paper, with their language if it is not the paper's, and facts: names with their values."""

from __future__ import annotations

from msgspec import Struct

from pricing.cautions import caution_in
from service.documents.speech import Speech


class Text(Struct, frozen=True):
    """`language` is None for the paper's own, and for names, which are of none."""

    text: str
    language: str | None


class Fact(Struct, frozen=True):
    """A name and its value; `other`: the same length in the other units. `rows`: further lines, as of an address."""

    name: str
    value: str
    other: str = ""
    rows: tuple[str, ...] = ()


def named(name: str, speech: Speech) -> Text:
    """An article's name, translated if it is composed of known words; otherwise as the shop has it, in English."""
    if speech.language == "en":
        return Text(name, None)
    translated = speech.name(name)
    return Text(name, "en") if translated is None else Text(translated, None)


def caution_text(caution: str, speech: Speech) -> Text:
    """A caution in the paper's language; one of an earlier release stays as it was issued."""
    translated = caution_in(caution, speech.language)
    return Text(caution, "en" if speech.language != "en" else None) if translated is None else Text(translated, None)

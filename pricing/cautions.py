"""The keys of the cautions printed on every document that people see, in printing order; their texts are in the catalogue of words."""

from __future__ import annotations

from pricing.wording.catalogue import LANGUAGES, names

QUOTE = ("estimate", "like_for_like", "support_mast", "inspect", "rules_first", "no_survey")
PLAN = ("measure_stock", "in_order", "mark_remnants")


def cautions(language: str, keys: tuple[str, ...] = QUOTE) -> list[str]:
    """The cautions in one language."""
    return [names(language)[f"caution.{key}"]["name"] for key in keys]


def caution_in(text: str, language: str) -> str | None:
    """The same caution in another language; None for a text no longer in use, such as one from an earlier release."""
    keys = QUOTE + PLAN
    for each in LANGUAGES:
        known = cautions(each, keys)
        if text in known:
            return cautions(language, keys)[known.index(text)]
    return None

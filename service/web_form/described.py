"""The description for the tables in force, built once per edition and language."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Any

from service.http.current import engine
from service.web_form.description import describe

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue


def described(language: str) -> dict[str, Any]:
    """The description; not to be changed."""
    return described_of(engine().offered, language)


@lru_cache(maxsize=4)
def described_of(catalogue: Catalogue, language: str) -> dict[str, Any]:
    """The same for any tables."""
    return describe(catalogue, language)

"""The description for the tables in force, made once for each of them and each language."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Any

from service.form.description import describe
from service.parts import engine

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue


def described(language: str) -> dict[str, Any]:
    """The description; not to be changed."""
    return _described(engine().catalogue, language)


@lru_cache(maxsize=4)
def _described(catalogue: Catalogue, language: str) -> dict[str, Any]:
    return describe(catalogue, language)

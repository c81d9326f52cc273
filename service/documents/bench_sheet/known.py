"""What a bench sheet needs beside its quote: the catalogue edition that it was made with, and its cutting plan."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pricing.catalogue import Article
    from pricing.rows import Thread


@dataclass(frozen=True, slots=True)
class Known:
    """Articles by number and threads by designation; `kept` is False if the edition is no longer stored, and then both are empty.

    `plan` is the quote's own cutting plan, if there is one, and `tags` those that its remnants got when it was taken.
    """

    articles: Mapping[str, Article] = field(default_factory=dict)
    threads: Mapping[str, Thread] = field(default_factory=dict)
    kept: bool = False
    plan: Mapping[str, Any] | None = None
    tags: Mapping[str, str] = field(default_factory=dict)

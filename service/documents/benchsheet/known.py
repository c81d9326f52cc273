"""What a bench sheet asks of the catalogue's edition that its quote was made with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pricing.catalogue import Article
    from pricing.catalogue.rows import Thread


@dataclass(frozen=True, slots=True)
class Known:
    """Articles by number and threads by designation; `kept` False where the edition is not there any more, and then both are empty."""

    articles: Mapping[str, Article] = field(default_factory=dict)
    threads: Mapping[str, Thread] = field(default_factory=dict)
    kept: bool = False

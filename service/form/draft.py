"""What was answered so far: it travels in the page itself, so that nothing is kept between two pages, and no cookie is needed."""

from __future__ import annotations

import json
import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from service.form.answering import Answers

MOST_ASSEMBLIES = 60
_MOST_TEXT, _MOST_READINGS = 2000, 20
REVIEW, FIRST = "review", "boat"


@dataclass(slots=True)
class Draft:
    """Answers about the whole and about each assembly; the step that is shown, of which assembly; `once` makes a quote at most once."""

    whole: Answers = field(default_factory=dict)
    assemblies: list[Answers] = field(default_factory=list)
    step: str = FIRST
    index: int = 0
    once: str = field(default_factory=lambda: str(uuid.uuid4()))

    def answers(self, scope: str) -> Answers:
        """Those of the whole, or of the assembly at hand."""
        return self.whole if scope == "request" else self.assemblies[self.index]

    def packed(self) -> str:
        """As text for a hidden field."""
        return json.dumps({"w": self.whole, "a": self.assemblies, "once": self.once}, ensure_ascii=False, separators=(",", ":"))


def unpacked(text: str, paths: Mapping[str, str]) -> Draft:
    """The draft of a hidden field; `paths` tells the scope of each question. Whatever else stands there is dropped: anybody can write it."""
    try:
        found = json.loads(text)
        whole, assemblies, once = found["w"], found["a"], str(uuid.UUID(found["once"]))
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return Draft()
    kept = [_known(each, paths, "assembly") for each in assemblies[:MOST_ASSEMBLIES]] if isinstance(assemblies, list) else []
    return Draft(_known(whole, paths, "request"), kept, once=once)


def _known(found: object, paths: Mapping[str, str], scope: str) -> Answers:
    if not isinstance(found, dict):
        return {}
    return {path: value for path, value in found.items() if paths.get(path) == scope and _plain(value)}


def _plain(value: Any) -> bool:
    if isinstance(value, list):
        return len(value) <= _MOST_READINGS and all(isinstance(each, str) and len(each) <= _MOST_TEXT for each in value)
    return isinstance(value, bool | int) or (isinstance(value, str) and len(value) <= _MOST_TEXT)

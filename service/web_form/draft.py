"""The answers so far. They are carried in the page itself, so nothing is stored between two pages and no cookie is needed."""

from __future__ import annotations

import json
import re
import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from service.web_form.answering import Answers
from service.web_form.description import MOST_ASSEMBLIES

OF, LEFT = "of", "left"  # beside the answers: of a stored request, which of its wires this is, and what is left out of what is kept
_MOST_TEXT, _MOST_LEFT = 2000, 300
MOST_COUNT = 10**9  # a count is read as a number only below this
REVIEW, FIRST = "review", "boat"
_HALVES = re.compile("[\ud800-\udfff]")


@dataclass(slots=True)
class Draft:
    """Answers about the whole request and each assembly; the current step and assembly; `once`: an idempotency key, so that at most
    one quote is made.
    """

    whole: Answers = field(default_factory=dict)
    assemblies: list[Answers] = field(default_factory=list)
    step: str = FIRST
    index: int = 0
    once: str = field(default_factory=lambda: str(uuid.uuid4()))

    def answers(self, scope: str) -> Answers:
        """The answers about the whole request, or about the current assembly."""
        return self.whole if scope == "request" else self.assemblies[self.index]

    def packed(self) -> str:
        """Serialise the draft for a hidden field."""
        return json.dumps({"w": self.whole, "a": self.assemblies, "once": self.once}, ensure_ascii=False, separators=(",", ":"))


def unpacked(text: str, questions: Iterable[Mapping[str, Any]], most: int = MOST_ASSEMBLIES) -> Draft:
    """Parse the draft from a hidden field. Anything that the pages for these questions would not have put there is dropped, since the
    field can be forged. `most`: wires.
    """
    paths = {each["path"]: each for each in questions}
    try:
        found = json.loads(text)
        whole, assemblies, once = found["w"], found["a"], str(uuid.UUID(found["once"]))
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return Draft()
    kept = [_known(each, paths, "assembly") for each in assemblies[:most]] if isinstance(assemblies, list) else []
    return Draft(_known(whole, paths, "request"), kept, once=once)


def _known(found: object, paths: Mapping[str, Mapping[str, Any]], scope: str) -> Answers:
    if not isinstance(found, dict):
        return {}
    asked = [(path, value, paths[path]) for path, value in found.items() if path in paths]
    beside = {name: found[name] for name in (OF, LEFT) if name in found and _beside(name, found[name])}
    return {**{path: value for path, value, each in asked if each["scope"] == scope and _of_its_kind(value, each)}, **beside}


def _beside(name: str, value: Any) -> bool:
    if name == OF:
        return type(value) is int and 0 <= value < MOST_COUNT
    return isinstance(value, list) and len(value) <= _MOST_LEFT and all(map(_plain, value))


def _of_its_kind(value: Any, question: Mapping[str, Any]) -> bool:
    """Whether a page could produce this value as the answer to that question."""
    kind = question["kind"]
    if kind == "lengths":
        return isinstance(value, list) and 0 < len(value) <= question["maximum"] and all(map(_plain, value))
    if kind in ("flag", "presence"):
        return isinstance(value, bool)
    counted = kind == "count" and isinstance(value, int) and not isinstance(value, bool)
    return 0 <= value < MOST_COUNT if counted else _plain(value)


def _plain(value: Any) -> bool:
    """Whether a page can show the text: lone surrogates, which JSON allows, cannot be shown."""
    return isinstance(value, str) and len(value) <= _MOST_TEXT and not _HALVES.search(value)

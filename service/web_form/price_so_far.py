"""The price of a draft's complete wires, and in a few words what the others still lack."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from service.computing.asking import document_of
from service.encoding import json
from service.formats.summary import summary
from service.http.current import price_lists
from service.http.problems import Problem
from service.schemas import read_request
from service.web_form.answering import Answers, Described, request_of, shown, titled
from service.web_form.draft import Draft
from service.web_form.reading import faults
from service.wording import translator

Say = Callable[[str], str]


@dataclass(frozen=True, slots=True)
class SoFar:
    """`document`: the preview of the complete wires, None without one. `wires`: how many these are. `lacking`: what the wire at hand, or the first
    that is not complete, still lacks.
    """

    document: dict[str, Any] | None = None
    wires: int = 0
    lacking: str = ""


def so_far(form: Described, draft: Draft) -> SoFar:
    """The price and what is missing for it. Raises no Problem: what cannot be priced now has no price."""
    say = translator(form["language"])
    open_parts = [lacks(form, each, say) for each in draft.assemblies]
    complete = [each for each, parts in zip(draft.assemblies, open_parts, strict=True) if not parts]
    places = [place for place, parts in enumerate(open_parts) if parts]
    place = draft.index if draft.index in places else next(iter(places), None)
    lacking = "" if place is None else say("%(part)s still missing") % {"part": open_parts[place][0]}
    if place is not None and len(draft.assemblies) > 1:
        lacking = f"{draft.assemblies[place].get('tag') or say('Wire %(number)s') % {'number': place + 1}}: {lacking}"
    return SoFar(_document(form, draft, complete), len(complete), lacking)


def lacks(form: Described, answers: Answers, say: Say) -> list[str]:
    """The short names of the sections that lack an answer, or have one that cannot be read."""
    asked = shown(form, "assembly", answers)
    wrong = faults(asked, say)
    found = {each.question["section"] for each in asked if each.missing or each.path in wrong}
    known = {each.path: each.answer for each in asked if each.answer is not None}
    return [titled(form, each["name"], known, by="short") for each in form["sections"] if each["name"] in found]


def _document(form: Described, draft: Draft, complete: list[Answers]) -> dict[str, Any] | None:
    if not complete:
        return None
    asked = {"language": form["language"], **request_of(form, draft.whole, complete, personal=False)}
    try:
        found: dict[str, Any] = document_of(read_request(json.read(json.write(asked)), price_lists()), summary)
    except Problem:
        return None
    return found

"""The course from page to page: which step comes next, and what the buttons of a page do to the draft."""

from __future__ import annotations

from collections.abc import Sequence

from service.form.answering import Described, Shown, shown
from service.form.draft import MOST_ASSEMBLIES, REVIEW, Draft

_OTHER_SIDE = {"port": "starboard", "starboard": "port"}
_ENDINGS = {"P": "S", "S": "P", "p": "s", "s": "p"}
LAST = "send"  # asked on the review page


def asked_at(form: Described, draft: Draft, step: str) -> tuple[Shown, ...]:
    """The questions of a step; on the review those of sending."""
    section = LAST if step == REVIEW else step
    scope = scope_of(form, section)
    return tuple(each for each in shown(form, scope, draft.answers(scope)) if each.question["section"] == section)


def scope_of(form: Described, section: str) -> str:
    """Whether a section is asked once or for each assembly."""
    return next(str(each["scope"]) for each in form["sections"] if each["name"] == section)


def steps(form: Described, draft: Draft) -> list[str]:
    """The steps of the assembly at hand that ask anything."""
    sections = {each.question["section"] for each in shown(form, "assembly", draft.answers("assembly"))}
    return [each["name"] for each in form["sections"] if each["name"] in sections]


def forward(form: Described, draft: Draft) -> None:
    """To the next step; after the last of an assembly to the review."""
    if draft.step == "boat":
        if not draft.assemblies:
            add(draft)
            return
        draft.step = REVIEW
        return
    course = steps(form, draft)
    place = course.index(draft.step) if draft.step in course else len(course) - 1
    draft.step = course[place + 1] if place + 1 < len(course) else REVIEW


def backward(form: Described, draft: Draft) -> None:
    """To the step before; before the first of an assembly to the boat."""
    course = ["boat", *(steps(form, draft) if draft.assemblies else [])]
    place = len(course) if draft.step == REVIEW else course.index(draft.step) if draft.step in course else 0
    draft.step = course[max(place - 1, 0)]


def add(draft: Draft, answers: dict[str, object] | None = None) -> None:
    """Another assembly, to be asked from its beginning."""
    if len(draft.assemblies) < MOST_ASSEMBLIES:
        draft.assemblies.append(answers or {})
    draft.index, draft.step = len(draft.assemblies) - 1, "before"


def remove(draft: Draft, index: int) -> None:
    """Without that assembly."""
    del draft.assemblies[index]
    draft.index, draft.step = 0, REVIEW if draft.assemblies else "boat"


def other_side(form: Described, draft: Draft, index: int) -> None:
    """The same wire on the boat's other side: everything but what differs from side to side is copied, settings and readings are asked anew."""
    old = draft.assemblies[index]
    copied = {each["path"] for each in form["questions"] if each["copied"]}
    answers = {path: answer for path, answer in old.items() if path in copied}
    if old.get("side") in _OTHER_SIDE:
        answers["side"] = _OTHER_SIDE[old["side"]]
    tag = str(old.get("tag", ""))
    if tag[-1:] in _ENDINGS and (len(tag) == 1 or not tag[-2].isalnum()):
        answers["tag"] = tag[:-1] + _ENDINGS[tag[-1]]
    add(draft, answers)


def new_questions(asked: Sequence[Shown], before: Sequence[str]) -> list[str]:
    """Questions that came up through what was just answered, and want to be seen."""
    return [each.path for each in asked if each.path not in before and not each.sole]

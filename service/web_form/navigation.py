"""Navigation between pages: which step comes next, and what a page's buttons do to the draft."""

from __future__ import annotations

from collections.abc import Sequence

from service.web_form.answering import Described, Shown, asking_sections, on_other_side, shown, visible
from service.web_form.draft import REVIEW, Draft

LAST = ("send", "details")  # asked on the review page


def asked_at(form: Described, draft: Draft, step: str) -> tuple[Shown, ...]:
    """The questions of a step; on the review page, those of the last sections."""
    sections, scope = sections_at(step), scope_of(form, step)
    return tuple(each for each in visible(form, scope, draft.answers(scope)) if each.question["section"] in sections)


def sections_at(step: str) -> tuple[str, ...]:
    """The sections that are asked on the page of a step."""
    return LAST if step == REVIEW else (step,)


def scope_of(form: Described, step: str) -> str:
    """The scope of a step's questions: `request` if they are asked once, `assembly` if for each assembly."""
    (section, *_) = sections_at(step)
    return next(str(each["scope"]) for each in form["sections"] if each["name"] == section)


def steps(form: Described, draft: Draft) -> list[str]:
    """The steps of the current assembly that have questions, in order."""
    return asking_sections(form, "assembly", draft.answers("assembly"))


def forward(form: Described, draft: Draft) -> None:
    """Go to the next step; after an assembly's last step, to the review."""
    if draft.step == "boat":
        if not draft.assemblies:
            add(form, draft)
            return
        draft.step = REVIEW
        return
    ordered = steps(form, draft)
    place = ordered.index(draft.step) if draft.step in ordered else len(ordered) - 1
    draft.step = ordered[place + 1] if place + 1 < len(ordered) else REVIEW


def backward(form: Described, draft: Draft) -> None:
    """Go to the previous step; from an assembly's first step, to the boat."""
    ordered = ["boat", *(steps(form, draft) if draft.assemblies else [])]
    place = len(ordered) if draft.step == REVIEW else ordered.index(draft.step) if draft.step in ordered else 0
    draft.step = ordered[max(place - 1, 0)]


def add(form: Described, draft: Draft, answers: dict[str, object] | None = None) -> None:
    """Add another assembly, to be asked from the beginning."""
    if len(draft.assemblies) < form["max_assemblies"]:
        draft.assemblies.append(answers or {})
    draft.index, draft.step = len(draft.assemblies) - 1, "before"


def example(form: Described, draft: Draft) -> None:
    """Fill in the description's example beside what was written, and show the review."""
    draft.whole = {**form["example"]["request"], **draft.whole}
    add(form, draft, dict(form["example"]["assembly"]))
    draft.step = REVIEW


def remove(draft: Draft, index: int) -> None:
    """Remove an assembly."""
    del draft.assemblies[index]
    draft.index, draft.step = 0, REVIEW if draft.assemblies else "boat"


def add_other_side(form: Described, draft: Draft, index: int) -> None:
    """Add the same wire on the other side of the boat."""
    add(form, draft, on_other_side(form, draft.assemblies[index]))


def wires_to_copy(form: Described, draft: Draft) -> list[tuple[int, str]]:
    """The wires, by index and name, that the current one can copy from the other side: those that are complete and have no partner besides it,
    unless the current one already says that it is somewhere else.
    """
    place = form["other_side"]["sides"][0]
    known = [{each.path: each for each in shown(form, "assembly", answers)} for answers in draft.assemblies]
    at = [each[place["path"]].answer if place["path"] in each else None for each in known]
    mine, others = at[draft.index], [number for number in range(len(known)) if number != draft.index]
    if draft.assemblies[draft.index].get(form["other_side"]["mark"]):
        return []
    found = []
    for number in others:
        opposite = place["values"].get(at[number])
        partner = any(at[each] == opposite for each in others)
        if opposite and not partner and mine in (None, opposite) and not any(each.missing for each in known[number].values()):
            found.append((number, str(known[number][form["other_side"]["tag"]["path"]].answer)))
    return found


def copy_from_other_side(form: Described, draft: Draft, index: int) -> None:
    """Make the current wire the same as another, on the other side."""
    if index in [number for number, _ in wires_to_copy(form, draft)]:
        draft.assemblies[draft.index] = on_other_side(form, draft.assemblies[index])


def new_questions(asked: Sequence[Shown], before: Sequence[str]) -> list[str]:
    """Paths of the questions that arose from the latest answers, so that the page must be shown again."""
    return [each.path for each in asked if each.path not in before]

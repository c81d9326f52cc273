"""Assigns the engine's findings and faults for a draft to the questions they concern."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from service.web_form.answering import Described, Shown, question_at, shown
from service.web_form.asking import N_
from service.web_form.draft import Draft
from service.web_form.fault_words import fault_in_words
from service.web_form.pages import Feedback

SHOWN = ("stop", "ask")
SHOP_CHECKS = N_("The shop checks something about the parts of this wire itself, before anything is cut.")


def for_the_owner(assembly: Mapping[str, Any], say: Callable[[str], str]) -> list[Mapping[str, Any]]:
    """The stops and questions of an assembly that its owner can act on. If only the shop can act on them: one note that it will look into it."""
    open_ = [each for each in assembly["findings"] if each["severity"] in SHOWN]
    own = [each for each in open_ if each["reader"] == "owner"]
    if own or not open_:
        return own
    return [{"pointer": "", "severity": open_[0]["severity"], "message": say(SHOP_CHECKS), "remedy": ""}]


def judged(form: Described, draft: Draft, document: Mapping[str, Any], say: Callable[[str], str]) -> Feedback:
    """Feedback from a preview: its findings, assembly by assembly."""
    found = [
        [_placed(form, draft, place, each) for each in for_the_owner(assembly, say)]
        for place, assembly in enumerate(document["assemblies"])
    ]
    return Feedback(findings=found, preview=dict(document))


def refused(form: Described, draft: Draft, errors: Sequence[Mapping[str, object]], say: Callable[[str], str]) -> Feedback:
    """Feedback from the faults of a request that cannot be read."""
    found: list[list[dict[str, Any]]] = [[] for _ in draft.assemblies]
    feedback = Feedback(findings=found)
    for each in errors:
        pointer = str(each.get("pointer", "#")).removeprefix("#")
        index, rest = _within(pointer)
        detail = fault_in_words(each["code"], each["detail"], say)
        finding = {"pointer": pointer, "severity": "stop", "message": detail, "remedy": ""}
        if index is not None and index < len(found):
            found[index].append(_placed(form, draft, index, finding))
        else:
            asked = question_at(shown(form, "request", draft.whole), rest)
            label = next((one["label"] for one in form["questions"] if one["path"] == asked), "")
            feedback.general.append(f"{label}: {detail}" if label else detail)
    return feedback


def _placed(form: Described, draft: Draft, index: int, finding: Mapping[str, Any]) -> dict[str, Any]:
    """A finding with the path, section and label of the question it concerns."""
    asked: tuple[Shown, ...] = shown(form, "assembly", draft.assemblies[index])
    _, rest = _within(str(finding["pointer"]).removeprefix("#"))
    path = question_at(asked, rest)
    question = next((each.question for each in asked if each.path == path), None)
    return {
        "severity": finding["severity"],
        "message": finding["message"],
        "remedy": finding["remedy"],
        "path": path,
        "section": question["section"] if question else None,
        "label": question["label"] if question else "",
    }


def _within(pointer: str) -> tuple[int | None, str]:
    """The index of the assembly that a pointer is in, and the rest of the pointer."""
    steps = pointer.split("/")
    if len(steps) > 2 and steps[1] == "assemblies" and steps[2].isdigit():
        return int(steps[2]), "".join(f"/{step}" for step in steps[3:])
    return None, pointer

"""What the engine says of a draft, each finding and each fault set at the question that it is about."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from service.form.answering import Described, Shown, question_at, shown
from service.form.draft import Draft
from service.form.pages import Told

SHOWN = ("stop", "ask")


def judged(form: Described, draft: Draft, document: Mapping[str, Any]) -> Told:
    """A preview's findings, by assembly."""
    found = [
        [_placed(form, draft, place, each) for each in assembly["findings"] if each["severity"] in SHOWN]
        for place, assembly in enumerate(document["assemblies"])
    ]
    return Told(findings=found, preview=dict(document))


def refused(form: Described, draft: Draft, errors: Sequence[Mapping[str, object]], say: Callable[[str], str]) -> Told:
    """The faults of a request that cannot be read."""
    found: list[list[dict[str, Any]]] = [[] for _ in draft.assemblies]
    told = Told(findings=found)
    for each in errors:
        pointer = str(each.get("pointer", "#")).removeprefix("#")
        index, rest = _within(pointer)
        finding = {"pointer": pointer, "severity": "stop", "message": str(each["detail"]), "remedy": ""}
        if index is not None and index < len(found):
            found[index].append(_placed(form, draft, index, finding))
        else:
            asked = question_at(shown(form, "request", draft.whole), rest)
            label = next((one["label"] for one in form["questions"] if one["path"] == asked), "")
            told.general.append(f"{label}: {each['detail']}" if label else str(each["detail"]))
    return told


def _placed(form: Described, draft: Draft, index: int, finding: Mapping[str, Any]) -> dict[str, Any]:
    asked: tuple[Shown, ...] = shown(form, "assembly", draft.assemblies[index])
    _, rest = _within(str(finding["pointer"]).removeprefix("#"))
    path = question_at(asked, rest)
    question = next((each.question for each in asked if each.path == path), None)
    return {
        "severity": finding["severity"],
        "said": form["findings"].get(finding.get("code")),
        "message": finding["message"],
        "remedy": finding["remedy"],
        "path": path,
        "section": question["section"] if question else None,
        "label": question["label"] if question else "",
    }


def _within(pointer: str) -> tuple[int | None, str]:
    """Index of the assembly that a pointer is in, and the rest of it."""
    steps = pointer.split("/")
    if len(steps) > 2 and steps[1] == "assemblies" and steps[2].isdigit():
        return int(steps[2]), "".join(f"/{step}" for step in steps[3:])
    return None, pointer

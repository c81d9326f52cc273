"""The drawing that stands beside the questions: of a draft, in a language, as a document of shapes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from service.documents.draft_drawing.picture import picture
from service.documents.draft_drawing.reading import contradictions
from service.documents.speech import speech_in
from service.schemas.draft import Drafted, read_draft
from service.web_form.answering import Answers, Described, question_at, request_of, shown

_ASKED = {"before": "/turnbuckle/setting", "length": "/measurement", "links": "", "joins": ""}  # of each section, if not its own name


def drawn(draft: Drafted, language: str) -> dict[str, Any]:
    """Shapes, parts and text alternative; `unknown` are the places whose values could not be read, or contradict others."""
    found = picture(draft.values, draft.asked, speech_in(language, "metric"))
    unread = [(each.pointer, each.code) for each in draft.unread]
    return {
        "view_box": [0, 0, found.width, found.height],
        "says": found.says,
        "parts": found.parts,
        "shapes": found.shapes,
        "unknown": [{"pointer": pointer, "code": code} for pointer, code in [*unread, *contradictions(draft.values)]],
    }


def drawn_beside(form: Described, section: str, answers: Answers, assembly: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """The same of the answers about one wire, with what a section asks marked; each part with the `section` of its questions, or "".
    `assembly`: the wire, if more is known of it than the answers.
    """
    if assembly is None:
        (assembly,) = request_of(form, {}, [answers])["assemblies"]
    asked = _ASKED.get(section, f"/{section}")
    found = drawn(read_draft({"assembly": assembly, **({"asked": asked} if asked else {})}), form["language"])
    entries = shown(form, "assembly", answers)
    sections = {each.path: str(each.question["section"]) for each in entries}

    def leading(pointer: str) -> str:
        """Where that is asked; where only a short question asks it yet, the section that is called so."""
        at = question_at(entries, pointer)
        return sections[at] if at else next((each for each in sections.values() if each == pointer.split("/")[1]), "")

    return {**found, "parts": [{**each, "section": leading(each["pointer"])} for each in found["parts"]]}


def parts_style(drawing: dict[str, Any]) -> str:
    """Where a page without scripts puts what is pressed for each part: shares of the drawing."""
    _, _, width, height = drawing["view_box"]
    rules = []
    for number, each in enumerate(drawing["parts"]):
        x, y, wide, high = each["box"]
        rules.append(
            f".part-{number} {{ left: {x / width:.2%}; top: {y / height:.2%}; width: {wide / width:.2%}; height: {high / height:.2%}; }}\n"
        )
    return "".join(rules)

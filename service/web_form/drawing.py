"""The drawing that stands beside the questions: of a draft, in a language, as a document of shapes."""

from __future__ import annotations

from typing import Any

from service.documents.draft_drawing.picture import picture
from service.documents.draft_drawing.told import contradictions
from service.documents.speech import speech
from service.schemas.draft import Drafted, read_draft
from service.web_form.answering import Answers, Described, request_of

_ASKED = {"before": "/turnbuckle/setting", "length": "/measurement", "links": "", "joins": ""}  # of each section, if not its own name


def drawn(draft: Drafted, language: str) -> dict[str, Any]:
    """Shapes, parts and text alternative; `unknown` are the places whose values could not be read, or contradict others."""
    found = picture(draft.values, draft.asked, speech(language, "metric"))
    unread = [(each.pointer, each.code) for each in draft.unread]
    return {
        "view_box": [0, 0, found.width, found.height],
        "says": found.says,
        "parts": found.parts,
        "shapes": found.shapes,
        "unknown": [{"pointer": pointer, "code": code} for pointer, code in [*unread, *contradictions(draft.values)]],
    }


def drawn_beside(form: Described, section: str, answers: Answers) -> dict[str, Any]:
    """The same of the answers about one wire, with what a section asks marked."""
    (assembly,) = request_of(form, {}, [answers])["assemblies"]
    asked = _ASKED.get(section, f"/{section}")
    return drawn(read_draft({"assembly": assembly, **({"asked": asked} if asked else {})}), form["language"])

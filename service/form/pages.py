"""The form as plain pages: HTML without a script, styles in the page, everything that was answered in its hidden fields."""

from __future__ import annotations

import base64
import hashlib
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from service.form import reading
from service.form.answering import Described, Shown, shown
from service.form.course import asked_at, scope_of, steps
from service.form.draft import REVIEW, Draft
from service.form.illustrations import NAMES, alternative
from service.form.speech import LANGUAGES, messages

_FOLDER = Path(__file__).parent / "pages"
STYLE = (_FOLDER / "page.css").read_text(encoding="utf-8")
_FEW = 8


@dataclass(slots=True)
class Told:
    """What a page says beside its questions: faults by question's path, what is new, and on the review what the engine said of each assembly."""

    faults: dict[str, str] = field(default_factory=dict)
    fresh: list[str] = field(default_factory=list)
    general: list[str] = field(default_factory=list)
    findings: list[list[dict[str, Any]]] = field(default_factory=list)
    preview: dict[str, Any] | None = None


def page(form: Described, draft: Draft, told: Told, address: str) -> bytes:
    """The page of the draft's step, in the description's language. `address`: where it is posted to."""
    language = form["language"]
    asked = asked_at(form, draft, draft.step)
    section = next((each for each in form["sections"] if each["name"] == draft.step), None)
    return (
        environment(language)
        .get_template("review.html" if draft.step == REVIEW else "step.html")
        .render(
            form=form, draft=draft, asked=asked, told=told, section=section, address=address, language=language, languages=LANGUAGES,
            style=Markup(STYLE), echo=reading.echo, drawn=lambda each, answers: _drawn(each, answers, language),  # noqa: S704  # own file
            alternative=lambda name: " ".join(alternative(name, language)), few=_few, assemblies=_assemblies(form, draft),
            answers=_all_answers(form, draft), place=_place(form, draft),
        )
        .encode()
    )  # fmt: skip


def style_hash() -> str:
    """What a Content-Security-Policy names to allow this very style and no other (CSP 3, `hash-source`)."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(STYLE.encode()).digest()).decode()}'"


def _few(each: Shown) -> bool:
    return len(each.choices) <= _FEW


def _all_answers(form: Described, draft: Draft) -> dict[str, Any]:
    if draft.step == REVIEW or scope_of(form, draft.step) == "request":
        return {}
    return {each.path: each.answer for each in shown(form, "assembly", draft.answers("assembly"))}


def _assemblies(form: Described, draft: Draft) -> list[dict[str, Any]]:
    """For the review: every assembly with its sections and the answers in them."""
    if draft.step != REVIEW:
        return []
    found = []
    for answers in draft.assemblies:
        asked = shown(form, "assembly", answers)
        sections = [
            {**each, "asked": [one for one in asked if one.question["section"] == each["name"] and one.answer not in (None, [])]}
            for each in form["sections"]
        ]
        found.append(
            {"tag": answers.get("tag") or "?", "side": answers.get("side"), "sections": [each for each in sections if each["asked"]]}
        )
    return found


def _place(form: Described, draft: Draft) -> tuple[int, int]:
    """Which step of how many this is, within the assembly."""
    if draft.step in ("boat", REVIEW):
        return 0, 0
    course = steps(form, draft)
    return (course.index(draft.step) + 1 if draft.step in course else 1), len(course)


def _drawn(each: Shown, answers: dict[str, Any], language: str) -> list[tuple[str, str]]:
    """Names and words of the drawings that go with a question, for the answers so far."""
    name = str(each.question.get("illustration", ""))
    if "{" not in name:
        return [(name, " ".join(alternative(name, language)))] if name in NAMES else []
    fitting = name.partition("-")[0].strip("{}")
    names = [f"{answers.get(fitting)}-{choice.value}" for choice in each.choices]
    return [(one, " ".join(alternative(one, language))) for one in names if one in NAMES]


@cache
def environment(language: str) -> Environment:
    """Templates that speak a language."""
    environment = Environment(
        loader=FileSystemLoader(_FOLDER), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True,
        extensions=["jinja2.ext.i18n"],
    )  # fmt: skip
    said = messages(language)
    environment.install_gettext_callables(said.gettext, said.ngettext, newstyle=True)  # type: ignore[attr-defined]  # the extension's
    environment.filters["answer"] = lambda each: _written(each, said.gettext)
    return environment


def _written(each: Shown, say: Any) -> str:
    """An answer as the review shows it."""
    for choice in each.choices:
        if choice.value == each.answer:
            return choice.label
    return "; ".join(each.answer) if isinstance(each.answer, list) else str(each.answer)

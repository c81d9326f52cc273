"""The form as plain pages: HTML without scripts, styles within the page, all answers in hidden fields."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache, partial
from pathlib import Path
from typing import Any

from jinja2 import Environment
from markupsafe import Markup

from service.encoding.languages import LANGUAGES
from service.style import hashes, style_of
from service.web_form import reading
from service.web_form.answering import Described, Shown, illustration_of, shown, titled
from service.web_form.description import TAPE
from service.web_form.draft import REVIEW, Draft
from service.web_form.drawing import drawn_beside, parts_style
from service.web_form.illustrations import NAMES, alternative
from service.web_form.navigation import asked_at, scope_of, steps, wires_to_copy
from service.web_form.offering import offers, remembered
from service.web_form.price_so_far import SoFar
from service.web_form.questions import QUESTIONS
from service.web_form.rig import drawn_on, spots_style
from service.wording.templates import templates_in

FOLDER = Path(__file__).parent / "templates"
STYLE = style_of(FOLDER / "page.css") + spots_style(next(each for each in QUESTIONS if drawn_on(each)).choices)
_FEW = 8


@dataclass(slots=True)
class Feedback:
    """What a page says about the answers: `faults` by question path, `fresh` questions that arose from the latest answers, `general` faults of no
    question, and on the review the engine's `findings` for each assembly and the `preview`. `kept`: values that the question cannot show, by path.
    """

    faults: dict[str, str] = field(default_factory=dict)
    fresh: list[str] = field(default_factory=list)
    general: list[str] = field(default_factory=list)
    findings: list[list[dict[str, Any]]] = field(default_factory=list)
    preview: dict[str, Any] | None = None
    price: SoFar = field(default_factory=SoFar)
    kept: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Look:
    """How the pages look, and the address they are posted to. `begins`: they begin a new request, so a measuring sheet and an example are
    offered; `review`: the last page's template; `given`: further variables of the templates, `asks` as false for a page
    without questions.
    """

    address: str
    templates: Environment
    begins: bool = True
    review: str = "review.html"
    given: Mapping[str, Any] = field(default_factory=dict)


def page(form: Described, draft: Draft, feedback: Feedback, look: Look, assembly: Mapping[str, Any] | None = None) -> tuple[bytes, str]:
    """The page for the draft's step, in the description's language, and its style. `assembly`: the wire to draw, if more is known of it than its
    answers.
    """
    language = form["language"]
    drawing = _drawing(form, draft, assembly)
    style = STYLE + (parts_style(drawing) if drawing else "")
    asked, system = asked_at(form, draft, draft.step), remembered(form, draft)
    answers = _all_answers(form, draft)
    section = next(({**each, "title": titled(form, draft.step, answers)} for each in form["sections"] if each["name"] == draft.step), None)
    made = (
        look.templates.get_template(look.review if draft.step == REVIEW else "step.html")
        .render(
            form=form, draft=draft, asked=asked, feedback=feedback, section=section, address=look.address, begins=look.begins, language=language, languages=LANGUAGES,
            style=Markup(style), echo=partial(reading.echo, language=language), drawn=lambda each, answers: _drawn(each, answers, language, system),  # noqa: S704  # own file
            few=_few, price=feedback.price, offers=lambda each: offers(each, system), assemblies=_assemblies(form, draft),
            answers=answers, place=_place(form, draft), drawing=drawing, titles={each["name"]: each["title"] for each in form["sections"]},
            alike=wires_to_copy(form, draft) if draft.step == "before" else [], **{"asks": True, **look.given},
        )
        .encode()
    )  # fmt: skip
    return made, style


def style_hash(style: str = STYLE) -> str:
    """The Content-Security-Policy source that allows exactly this style (CSP 3, `hash-source`)."""
    return hashes([style])


def _few(entry: Shown) -> bool:
    """Whether a question's choices fit on the page as buttons, without a list to open."""
    return sum(one.sent for one in entry.choices) <= _FEW or any(one.illustration or one.spot for one in entry.choices)


def _all_answers(form: Described, draft: Draft) -> dict[str, Any]:
    """The current assembly's answers by path, on the pages that ask about one."""
    if draft.step == REVIEW or scope_of(form, draft.step) == "request":
        return {}
    return {each.path: each.answer for each in shown(form, "assembly", draft.answers("assembly"))}


def _drawing(form: Described, draft: Draft, assembly: Mapping[str, Any] | None) -> dict[str, Any] | None:
    """The wire as drawn so far, on the pages that ask about one."""
    if draft.step == REVIEW or scope_of(form, draft.step) == "request":
        return None
    return drawn_beside(form, draft.step, draft.answers("assembly"), assembly)


def _assemblies(form: Described, draft: Draft) -> list[dict[str, Any]]:
    """Each assembly with its sections and answers, for the review; empty on other pages."""
    if draft.step != REVIEW:
        return []
    found = []
    for answers in draft.assemblies:
        asked = shown(form, "assembly", answers)
        known = {each.path: each.answer for each in asked}
        sections = [
            {
                **each,
                "title": titled(form, each["name"], known),
                "asked": [one for one in asked if one.question["section"] == each["name"] and _on_review(one, form)],
            }
            for each in form["sections"]
        ]
        found.append({"tag": known.get("tag") or "?", "side": known.get("side"), "sections": [each for each in sections if each["asked"]]})
    return found


def _on_review(entry: Shown, form: Described) -> bool:
    """Whether the review lists the answer: not if the answer to a short question says it already."""
    return entry.answer not in (None, []) and not entry.by and entry.path != form["other_side"]["mark"]


def _place(form: Described, draft: Draft) -> tuple[int, int]:
    """The number of this step within the assembly, and how many there are."""
    if draft.step in ("boat", REVIEW):
        return 0, 0
    ordered = steps(form, draft)
    return (ordered.index(draft.step) + 1 if draft.step in ordered else 1), len(ordered)


def _drawn(entry: Shown, answers: dict[str, Any], language: str, system: str) -> list[tuple[str, str]]:
    """Names and text alternatives of the drawings shown with a question, given the answers so far."""
    if entry.choices and not isinstance(entry.choices[0].value, bool):
        names = list(dict.fromkeys(illustration_of(entry.question, {**answers, entry.path: choice.value}) for choice in entry.choices))
    else:
        names = [illustration_of(entry.question, answers)]
    if entry.question["kind"] == "lengths" and system == "imperial":
        names.append(TAPE)
    return [(one, " ".join(alternative(one, language))) for one in names if one in NAMES]


@cache
def environment(language: str) -> Environment:
    """The form's templates in a language."""
    return with_answers(templates_in(FOLDER, language))


def with_answers(templates: Environment) -> Environment:
    """Templates that can write answers."""
    templates.filters["answer"] = written
    return templates


def written(entry: Shown) -> str:
    """An answer as text for people."""
    for choice in entry.choices:
        if choice.value == entry.answer:
            return choice.label
    return "; ".join(entry.answer) if isinstance(entry.answer, list) else str(entry.answer)

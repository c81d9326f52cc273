"""Handles the plain form's requests: posted answers go into the draft, a button selects the action, and a page is returned."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from flask import Response, request

from service.computing.asking import document_of
from service.encoding import json
from service.encoding.languages import LANGUAGES
from service.formats.summary import summary
from service.http.bodies import refuse_too_large
from service.http.current import price_lists
from service.http.problems import Problem, wrong_type
from service.http.responses import reply
from service.schemas import read_request
from service.web_form import navigation
from service.web_form.answering import Described, Shown, request_of
from service.web_form.described import described
from service.web_form.draft import FIRST, REVIEW, Draft, unpacked
from service.web_form.errand import Errand, Posted
from service.web_form.judging import judged, refused
from service.web_form.language import language_wanted
from service.web_form.offering import TAKE, take
from service.web_form.pages import Feedback, Look, environment, page, style_hash
from service.web_form.price_so_far import so_far
from service.web_form.reading import faults, posted
from service.web_form.storing import stored_once
from service.wording import translator

ADDRESS = "/form"
HTML = "text/html"
TAKEN = ("application/x-www-form-urlencoded", "multipart/form-data")
POLICY = "default-src 'none'; style-src {style}; img-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"


class NewRequest(Errand):
    """A customer's new request. Nothing of it is stored before it is sent."""

    def form(self, language: str) -> Described:
        """The questions with what the tables in force offer."""
        return described(language)

    def look(self, form: Described, draft: Draft) -> Look:
        """The form's own look."""
        return Look(ADDRESS, environment(form["language"]))

    def annotate(self, form: Described, draft: Draft, feedback: Feedback) -> None:
        """Adds the price so far."""
        if draft.assemblies:
            feedback.price = so_far(form, draft)

    def check(self, form: Described, draft: Draft) -> Feedback:
        """The engine's findings for the draft, and its faults; the customer's details do not matter here."""
        say: Callable[[str], str] = translator(form["language"])
        value: Any = json.read(
            json.write({"language": form["language"], **request_of(form, draft.whole, draft.assemblies, personal=False)})
        )
        try:
            return judged(form, draft, document_of(read_request(value, price_lists()), summary), say)
        except Problem as problem:
            return refused(form, draft, problem.faults, say)

    def submit(self, form: Described, draft: Draft) -> Feedback | Response:
        """Store the quote, once however often the page is sent, and redirect the customer to it by a link."""
        body = json.write({"language": form["language"], **request_of(form, draft.whole, draft.assemblies)})
        try:
            asked = read_request(json.read(body), price_lists())
        except Problem as problem:
            return refused(form, draft, problem.faults, translator(form["language"]))
        return stored_once(asked, body, draft.once, form["language"])

    def reply(self, form: Described, page: bytes, style: str) -> Response:
        """The response; its policy allows exactly this page's style, by its hash."""
        headers = {
            "Content-Language": form["language"],
            "Content-Security-Policy": POLICY.format(style=style_hash(style)),
            "Cache-Control": "no-store",
            "Vary": "Accept-Language",
        }
        return reply(page, 200, headers, HTML)


NEW = NewRequest()


def first_page() -> Response:
    """The first page of a new request."""
    return page_response(NEW, described(language_wanted()), Draft(), Feedback())


def posted_page() -> Response:
    """The response to a posted page. Raises Problem: 411 without a length, 413 if it is too large, 415 for a type that pages do not
    send.
    """
    refuse_too_large()
    if request.mimetype not in TAKEN:
        raise wrong_type(f"Send what the form's pages send: {TAKEN[0]}.", ", ".join(TAKEN))
    return next_page(NEW, request.form)


def next_page(errand: Errand, fields: Posted) -> Response:
    """The response to a page that was posted for an errand."""
    language = fields.get("lang", "")
    form = errand.form(language if language in LANGUAGES else LANGUAGES[0])
    draft = _draft(form, fields)
    before = _take_answers(form, draft, fields)
    errand.take_extras(draft, fields)
    return _act(errand, form, draft, fields.get("go", "check"), before)


def _draft(form: Described, fields: Posted) -> Draft:
    """The draft that the page carries; an impossible step is replaced by the first."""
    draft = unpacked(fields.get("draft", ""), form["questions"], form["max_assemblies"])
    step, index = fields.get("step", FIRST), fields.get("index", "0")
    known = {each["name"]: each["scope"] for each in form["sections"] if each["name"] not in navigation.LAST}
    draft.index = _place(index, draft) or 0
    at_home = step == REVIEW or step in known
    draft.step = step if at_home and (draft.assemblies or known.get(step) == "request") else FIRST
    return draft


def _take_answers(form: Described, draft: Draft, fields: Posted) -> list[str]:
    """Put the posted answers into the draft; returns the paths of the questions that the page asked."""
    asked = fields.get("asked", "").split(",")
    sections, answers = navigation.sections_at(draft.step), draft.answers(navigation.scope_of(form, draft.step))
    for question in form["questions"]:
        path = question["path"]
        if question["section"] in sections and path in asked:
            answer = posted(question["kind"], fields.getlist(path))
            if answer is None:
                answers.pop(path, None)
            else:
                answers[path] = answer
    return asked


def _act(errand: Errand, form: Described, draft: Draft, button: str, before: list[str]) -> Response:
    """Carry out the button that was pressed. `before`: the paths of the questions that the page asked."""
    action, _, rest = button.partition("-")
    number, _, section = rest.partition("-")
    place = _place(number, draft)
    if action == "lang":
        language = rest if rest in LANGUAGES else form["language"]
        errand.remember_language(language)
        return page_response(errand, errand.form(language), draft, Feedback())
    if (response := errand.own_action(action, form, draft)) is not None:
        return response
    if action == TAKE:
        take(form, draft.answers(navigation.scope_of(form, draft.step)), rest)
        return _next(errand, form, draft, "check", before) if draft.step != REVIEW else page_response(errand, form, draft, Feedback())
    if action == "example" and not draft.assemblies:
        navigation.example(form, draft)
        return page_response(errand, form, draft, Feedback())
    if action == "send" and draft.step == REVIEW:
        return _submit(errand, form, draft)
    if action == "review" and draft.assemblies:
        draft.step = REVIEW
        return page_response(errand, form, draft, Feedback())
    if draft.step != REVIEW and action in ("next", "check"):
        return _next(errand, form, draft, action, before)
    _move(form, draft, action, place, section)
    return page_response(errand, form, draft, Feedback())


def _place(written: str, draft: Draft) -> int | None:
    """The assembly that a page names, by index from 0; None if there is no such assembly."""
    found = int(written) if written.isascii() and written.isdigit() and len(written) < 4 else len(draft.assemblies)
    return found if found < len(draft.assemblies) else None


def _move(form: Described, draft: Draft, action: str, place: int | None, section: str) -> None:
    """Carry out buttons that do not depend on the current answers."""
    if action == "back":
        navigation.backward(form, draft)
    elif action == "add":
        navigation.add(form, draft)
    elif place is not None and action == "remove":
        navigation.remove(draft, place)
    elif place is not None and action == "same" and draft.step == "before":
        navigation.copy_from_other_side(form, draft, place)
    elif place is not None and action == "copy":
        navigation.add_other_side(form, draft, place)
    elif place is not None and action == "edit" and section in {each["name"] for each in form["sections"]}.difference(navigation.LAST):
        draft.index, draft.step = place, section


def _next(errand: Errand, form: Described, draft: Draft, action: str, before: list[str]) -> Response:
    """Go to the next step, unless the answers have faults or raise more questions on the same page."""
    asked = navigation.asked_at(form, draft, draft.step)
    found = _faults(errand, form, draft, [each for each in asked if each.path in before])
    fresh = navigation.new_questions(asked, before)
    if found or fresh or action == "check":
        return page_response(errand, form, draft, Feedback(faults=found, fresh=fresh))
    navigation.forward(form, draft)
    return page_response(errand, form, draft, Feedback())


def _faults(errand: Errand, form: Described, draft: Draft, asked: Sequence[Shown]) -> dict[str, str]:
    optional = errand.optional(form, draft)
    return faults([each for each in asked if each.answer is not None or each.path not in optional], translator(form["language"]))


def _submit(errand: Errand, form: Described, draft: Draft) -> Response:
    """Submit the draft, unless the last page's answers have faults."""
    if found := _faults(errand, form, draft, navigation.asked_at(form, draft, REVIEW)):
        return page_response(errand, form, draft, Feedback(faults=found))
    outcome = errand.submit(form, draft)
    return page_response(errand, form, draft, outcome) if isinstance(outcome, Feedback) else outcome


def page_response(errand: Errand, form: Described, draft: Draft, feedback: Feedback) -> Response:
    """The page for the draft's step. The review is checked first, unless the feedback has findings already."""
    assembly = None
    if draft.step == REVIEW and not feedback.findings:
        faults_found, feedback = feedback.faults, errand.check(form, draft)
        feedback.faults = faults_found
    else:
        assembly = errand.annotate(form, draft, feedback)
    html, style = page(form, draft, feedback, errand.look(form, draft), assembly)
    return errand.reply(form, html, style)

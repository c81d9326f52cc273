"""A visit to the plain form: what was posted goes into the draft, a button says what to do, and a page comes back. The only module here with Flask."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from flask import Response, request
from werkzeug.datastructures import MultiDict

from service import json
from service.bodies import announced_length
from service.form import course
from service.form.answering import Described, request_of
from service.form.described import described
from service.form.draft import FIRST, REVIEW, Draft, unpacked
from service.form.judging import judged, refused
from service.form.language import language_wanted
from service.form.pages import Told, page, style_hash
from service.form.reading import faults, posted
from service.form.speech import LANGUAGES, translator
from service.form.storing import stored_once
from service.parts import engine, price_lists, settings
from service.problems import Problem
from service.replies import reply
from service.schemas import read_request

ADDRESS = "/form"
HTML = "text/html"
TAKEN = ("application/x-www-form-urlencoded", "multipart/form-data")
POLICY = "default-src 'none'; style-src {style}; img-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
Posted = MultiDict[str, str]


def begun() -> Response:
    """The first page."""
    draft = Draft()
    return _shown(described(language_wanted()), draft, Told())


def gone_on() -> Response:
    """What comes of a page that was posted. Raises Problem: 411 without a length, 413 for one that is too large, 415 for what no page sends."""
    if announced_length() > settings().max_body:
        raise Problem(413, "The form is too large: request a quote for fewer wires at once.")
    if request.mimetype not in TAKEN:
        raise Problem(415, f"Send what the form's pages send: {TAKEN[0]}.", headers={"Accept": ", ".join(TAKEN)})
    sent = request.form
    language = sent.get("lang", "")
    form = described(language if language in LANGUAGES else LANGUAGES[0])
    draft = _draft(form, sent)
    before = _answered(form, draft, sent)
    return _done(form, draft, sent.get("go", "check"), before)


def _draft(form: Described, sent: Posted) -> Draft:
    """The draft of the page; a step that it cannot be at becomes the first."""
    draft = unpacked(sent.get("draft", ""), {each["path"]: each["scope"] for each in form["questions"]})
    step, index = sent.get("step", FIRST), sent.get("index", "0")
    known = {each["name"]: each["scope"] for each in form["sections"] if each["name"] != course.LAST}
    draft.index = int(index) if index.isascii() and index.isdigit() and int(index[:4]) < len(draft.assemblies) else 0
    at_home = step == REVIEW or step in known
    draft.step = step if at_home and (draft.assemblies or known.get(step) == "request") else FIRST
    return draft


def _answered(form: Described, draft: Draft, sent: Posted) -> list[str]:
    """Put what was posted into the draft; returns the questions that the page asked."""
    asked = sent.get("asked", "").split(",")
    section = course.LAST if draft.step == REVIEW else draft.step
    answers = draft.answers(course.scope_of(form, section))
    for question in form["questions"]:
        path = question["path"]
        if question["section"] == section and path in asked:
            answer = posted(question["kind"], sent.getlist(path))
            if answer is None:
                answers.pop(path, None)
            else:
                answers[path] = answer
    return asked


def _done(form: Described, draft: Draft, button: str, before: list[str]) -> Response:
    action, _, rest = button.partition("-")
    number, _, section = rest.partition("-")
    place = int(number) if number.isascii() and number.isdigit() and int(number[:4]) < len(draft.assemblies) else None
    if action == "lang":
        return _shown(described(rest if rest in LANGUAGES else form["language"]), draft, Told())
    if action == "send" and draft.step == REVIEW:
        return _sent(form, draft)
    if action == "review" and draft.assemblies:
        draft.step = REVIEW
        return _shown(form, draft, Told())
    if draft.step != REVIEW and action in ("next", "check"):
        return _next(form, draft, action, before)
    _moved(form, draft, action, place, section)
    return _shown(form, draft, Told())


def _moved(form: Described, draft: Draft, action: str, place: int | None, section: str) -> None:
    """The buttons that ask nothing of the answers at hand."""
    if action == "back":
        course.backward(form, draft)
    elif action == "add":
        course.add(draft)
    elif place is not None and action == "remove":
        course.remove(draft, place)
    elif place is not None and action == "copy":
        course.other_side(form, draft, place)
    elif place is not None and action == "edit" and section in {each["name"] for each in form["sections"]} - {course.LAST}:
        draft.index, draft.step = place, section


def _next(form: Described, draft: Draft, action: str, before: list[str]) -> Response:
    """On, unless something is wrong with the answers, or they raise more questions on the same page."""
    asked = course.asked_at(form, draft, draft.step)
    found = faults([each for each in asked if each.path in before], translator(form["language"]))
    fresh = course.new_questions(asked, before)
    if found or fresh or action == "check":
        return _shown(form, draft, Told(faults=found, fresh=fresh))
    course.forward(form, draft)
    return _shown(form, draft, Told())


def _sent(form: Described, draft: Draft) -> Response:
    """The quote, stored once however often the page is sent; its customer is led to it by a link."""
    if found := faults(course.asked_at(form, draft, REVIEW), translator(form["language"])):
        return _shown(form, draft, Told(faults=found))
    body = json.write(request_of(form, draft.whole, draft.assemblies))
    try:
        asked = read_request(json.read(body), price_lists())
    except Problem as problem:
        return _shown(form, draft, refused(form, draft, problem.faults, translator(form["language"])))

    return stored_once(asked, body, draft.once, form["language"])


def _shown(form: Described, draft: Draft, told: Told) -> Response:
    if draft.step == REVIEW and not told.findings:
        found, told = told.faults, _previewed(form, draft)
        told.faults = found
    headers = {
        "Content-Language": form["language"],
        "Content-Security-Policy": POLICY.format(style=style_hash()),
        "Cache-Control": "no-store",
        "Vary": "Accept-Language",
    }
    return reply(page(form, draft, told, ADDRESS), 200, headers, HTML)


def _previewed(form: Described, draft: Draft) -> Told:
    """What the engine says of the draft, and what of it is wrong; who asks is of no matter to it."""
    say: Callable[[str], str] = translator(form["language"])
    value: Any = json.read(json.write(request_of(form, draft.whole, draft.assemblies)))
    value.pop("customer", None)
    try:
        return judged(form, draft, engine().quote(read_request(value, price_lists())))
    except Problem as problem:
        return refused(form, draft, problem.faults, say)

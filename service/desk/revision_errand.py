"""The form's errand at the desk: revising a quote. Its stored request is shown as answers, and changed where the answers are changed."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from functools import cache, cached_property
from http import HTTPStatus
from typing import NamedTuple

from flask import Response
from jinja2 import ChoiceLoader, Environment, FileSystemLoader, PrefixLoader

from pricing.document import read
from pricing.measurement.assembly import QuoteRequest
from pricing.records.difference import Given, Requests, difference, given
from pricing.settling import carried, settlements_of
from pricing.values import Listing, Value
from pricing.wording import Voice, voice_for
from service.auth.sessions import the_session
from service.desk import calls
from service.desk.pages import FOLDER, HTML, frame, page_headers, redirect
from service.desk.quote_view import View, view_of
from service.desk.refusal_words import Refusal, own_refusal, refusal_of
from service.http.current import staff
from service.http.responses import reply
from service.schemas.request import load
from service.style import SHARED
from service.web_form import pages as form_pages
from service.web_form.answering import Described, question_at, shown
from service.web_form.described import described
from service.web_form.draft import LEFT, REVIEW, Draft
from service.web_form.errand import Errand, Posted
from service.web_form.judging import judged, refused
from service.web_form.merging import Json, within
from service.web_form.navigation import scope_of
from service.web_form.pages import Feedback, Look, with_answers
from service.web_form.prefilled import WHOLE, Stored
from service.wording import translator

MOST = 200  # wires of a request; the customer's own form takes fewer


class Kept(NamedTuple):
    """Something of the request that the form does not ask about. `value`: of its tick box; `left`: whether it is to be left out."""

    value: str
    words: str
    left: bool


@dataclass(frozen=True, slots=True)
class Changes:
    """What a revision would change. `words`: the differences; `before`, `after`: the totals; `undone`: the words of settlements that would no longer hold."""

    words: list[str]
    before: str
    after: str
    undone: list[str]


@dataclass
class Revision(Errand):
    """The revision of a quote. `seen`: the entity tag of the quote as the person saw it."""

    quote_id: str
    seen: str = ""
    refusal: Refusal | None = None
    changes: Changes | None = None
    _stored: Stored | None = None

    @cached_property
    def request(self) -> Json:
        """The request that the quote was made from."""
        request: Json = calls.read(f"/v1/quotes/{self.quote_id}/request")
        return request

    @cached_property
    def answer(self) -> calls.Answer:
        """The API's answer with the quote as it stands now."""
        return calls.get(f"/v1/quotes/{self.quote_id}")

    @cached_property
    def quote(self) -> Json:
        """The quote's JSON."""
        quote: Json = self.answer.value
        return quote

    def view(self, language: str) -> View:
        """The quote as the desk shows it."""
        return view_of(self.quote, language)

    @property
    def readable(self) -> bool:
        """Whether the stored request can still be read; that of a much earlier release cannot."""
        return isinstance(load(self.request), QuoteRequest)

    def stored(self, form: Described) -> Stored:
        """The stored request as answers to the form's questions."""
        if self._stored is None:
            self._stored = Stored(form, self.request)
        return self._stored

    def form(self, language: str) -> Described:
        """The customer's questions, for as many wires as a program can request."""
        return {**described(language), "max_assemblies": MOST}

    def look(self, form: Described, draft: Draft) -> Look:
        """The form's templates in the desk's frame."""
        chosen = form["language"]
        last = draft.step == REVIEW and self.changes is None
        variables = {
            **frame(), "view": self.view(chosen), "at": f"/desk/quotes/{self.quote_id}", "seen": self.seen or self.answer.etag, "refusal": self.refusal,
            "changes": self.changes, "kept": self._kept(form, draft) if draft.step == REVIEW else {}, "asks": last or draft.step != REVIEW,
        }  # fmt: skip
        review = "last.html" if self.changes is None else "changes.html"
        return Look(f"/desk/quotes/{self.quote_id}/revise", templates(chosen), begins=False, review=review, given=variables)

    def annotate(self, form: Described, draft: Draft, feedback: Feedback) -> Json | None:
        """Adds stored values that the current questions cannot show; returns the current wire as it would be sent."""
        stored, scope = self.stored(form), scope_of(form, draft.step)
        place = self._place(form, draft)
        if place is None:
            return None
        entries = {each.path: each for each in shown(form, scope, draft.answers(scope))}
        for group in stored.filled(place).kept:
            asked = question_at(entries.values(), group)
            if asked and entries[asked].question.get("pointer") == group and entries[asked].answer is None:
                feedback.kept[asked] = self._words(place, group, form["language"], value=True)
        return None if scope == "request" else stored.wire(draft.answers(scope))

    def optional(self, form: Described, draft: Draft) -> frozenset[str]:
        """The questions that the stored request does not answer either."""
        place = self._place(form, draft)
        return frozenset() if place is None else self.stored(form).filled(place).open

    def _place(self, form: Described, draft: Draft) -> int | None:
        """The part of the stored request that the page is about: a wire's index or WHOLE; None for a wire that was added."""
        if scope_of(form, draft.step) == "request":
            return WHOLE
        return self.stored(form).place(draft.answers("assembly"))

    def take_extras(self, draft: Draft, fields: Posted) -> None:
        """Notes in the draft which of the things that the form does not ask about are ticked to be left out."""
        if "ticks" not in fields:
            return
        ticked = [value.partition(":") for value in fields.getlist("left")]
        for number, answers in enumerate((draft.whole, *draft.assemblies), start=WHOLE):
            left = [place for at, _, place in ticked if at == str(number)]
            answers.pop(LEFT, None)
            if left:
                answers[LEFT] = left

    def remember_language(self, language: str) -> None:
        """Sets the session's language."""
        staff().choose_language(the_session().id, language)

    def check(self, form: Described, draft: Draft) -> Feedback:
        """The findings of a preview, or the faults of the request."""
        feedback, _ = self._preview(form, draft, language=form["language"])  # in the language of the person at the desk
        self.annotate(form, draft, feedback)
        return feedback

    def submit(self, form: Described, draft: Draft) -> Feedback:
        """Finds out what the revision would change, before it is issued."""
        feedback, after = self._preview(form, draft)
        if after is not None:
            self.changes = self._changes(form, draft, after)
        return feedback

    def own_action(self, action: str, form: Described, draft: Draft) -> Response | None:
        """Issues the revision once its changes have been looked at and confirmed."""
        if action != "confirm" or not draft.assemblies:
            return None
        draft.step = REVIEW
        answer = calls.post(f"/v1/quotes/{self.quote_id}/revisions", self.stored(form).revised(draft), draft.once, self.seen)
        if answer.ok:
            return redirect(f"/desk/quotes/{answer.value['id']}", "revised")
        if answer.status == HTTPStatus.NOT_FOUND:
            raise calls.problem_in(answer)
        self.refusal, self.seen = refusal_of(answer), ""
        if not self.view(form["language"]).may("revise"):
            self.refusal = own_refusal("not_to_be_revised")
        return self.page(form, draft, self.submit(form, draft), answer.status)

    def reply(self, form: Described, page: bytes, style: str) -> Response:
        """The response with the desk's headers. The page contains no style."""
        return reply(page, 200, page_headers(form["language"]), HTML)

    def page(self, form: Described, draft: Draft, feedback: Feedback, status: int) -> Response:
        """The draft's page with the status of a refusal."""
        html, _ = form_pages.page(form, draft, feedback, self.look(form, draft))
        return reply(html, status, page_headers(form["language"]), HTML)

    def _preview(self, form: Described, draft: Draft, **other: str) -> tuple[Feedback, Json | None]:
        """Feedback on the revised request, and its preview; None if the request cannot be read. `other`: fields of the request to replace."""
        say = translator(form["language"])
        answer = calls.post("/v1/quotes/preview", {**self.stored(form).revised(draft), **other})
        if answer.ok:
            return judged(form, draft, answer.value, say), answer.value
        if answer.status != HTTPStatus.UNPROCESSABLE_ENTITY:
            raise calls.problem_in(answer)
        return refused(form, draft, answer.value["errors"], say), None

    def _changes(self, form: Described, draft: Draft, after: Json) -> Changes:
        view = self.view(form["language"])
        loaded = map(load, (self.request, self.stored(form).revised(draft)))
        requests = Requests(*(each if isinstance(each, QuoteRequest) else None for each in loaded))
        differences = difference(self.quote, after, requests, self._voice(form["language"]))
        carried_over = {each.id for each in carried(view.quote, read(after)).settlements}
        undone = [each.words for each in settlements_of(view.quote) if each.undone is None and each.id not in carried_over]
        return Changes(differences["words"], view.payable, view.money(after["totals"]["payable"]), undone)

    def _voice(self, language: str) -> Voice:
        return voice_for(language, self.quote["display_units"], "shop")

    def _kept(self, form: Described, draft: Draft) -> dict[int, list[Kept]]:
        """What the form does not ask about, by the wire's number in the draft."""
        stored, kept = self.stored(form), {}
        for number, answers in enumerate((draft.whole, *draft.assemblies), start=WHOLE):
            place = WHOLE if number == WHOLE else stored.place(answers)
            if place is not None:
                worded = [(group, self._words(place, group, form["language"])) for group in stored.filled(place).kept]
                kept[number] = [Kept(f"{number}:{group}", words, group in answers.get(LEFT, ())) for group, words in worded if words]
        return kept

    @cached_property
    def _given(self) -> dict[int, list[Given]]:
        """Everything that the stored request gives, by the index of the wire, or WHOLE."""
        loaded, by_place = load(self.request), defaultdict[int, list[Given]](list)
        for each in given(loaded) if isinstance(loaded, QuoteRequest) else ():
            steps = each.pointer.split("/")
            by_place[int(steps[2]) if steps[1] == "assemblies" else WHOLE].append(each)
        return by_place

    def _words(self, place: int, group: str, language: str, *, value: bool = False) -> str:
        """What the stored request has at a place, in words: the name and value of each field; or only the values."""
        at = group if place == WHOLE else f"/assemblies/{place}{group}"
        voice = self._voice(language)
        there = [each for each in self._given[place] if within(each.pointer, at)]
        if value:
            return "; ".join(voice.value(each.value) for each in there)
        shared = _shared([each.what.items[:-1] for each in there])  # of their names, written once
        names = [Listing(each.what.items[shared if place else 0 :], each.what.join) for place, each in enumerate(there)]
        return "; ".join(f"{voice.value(name)}: {voice.value(each.value)}" for name, each in zip(names, there, strict=True))


def _shared(lists: list[tuple[Value, ...]]) -> int:
    """The number of items that all lists begin with in common."""
    return next(
        (many for many, each in enumerate(zip(*lists, strict=False)) if len(set(map(str, each))) > 1), min(map(len, lists), default=0)
    )


@cache
def templates(chosen: str) -> Environment:
    """The form's templates in a language, with the desk's own frame and last pages."""
    own, form, desk = FileSystemLoader(FOLDER / "revise"), FileSystemLoader(form_pages.FOLDER), FileSystemLoader(FOLDER)
    return with_answers(form_pages.environment(chosen).overlay(loader=ChoiceLoader([own, form, PrefixLoader({"desk": desk}), desk])))


def style() -> str:
    """The form's style without what all pages share, and classes that place the parts of a drawing, to a per cent."""
    places = "".join(
        f".x{n} {{ left: {n}%; }} .y{n} {{ top: {n}%; }} .w{n} {{ width: {n}%; }} .h{n} {{ height: {n}%; }}\n" for n in range(101)
    )
    return form_pages.STYLE[len(SHARED) :] + places

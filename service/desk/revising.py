"""What the form is filled in for at the desk: the revision of a quote, whose request is shown as answers, and changed where they are."""

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
from service.desk.pages import FOLDER, HTML, frame, go, headers_of
from service.desk.quote_view import View, view_of
from service.desk.words import Refusal, refusal_of, said
from service.http.current import staff
from service.http.responses import reply
from service.schemas.request import load
from service.style import SHARED
from service.web_form import pages as form_pages
from service.web_form.answering import Described, question_at, shown
from service.web_form.course import scope_of
from service.web_form.described import described
from service.web_form.draft import LEFT, REVIEW, Draft
from service.web_form.errand import Errand, Posted
from service.web_form.judging import judged, refused
from service.web_form.merging import Json, within
from service.web_form.pages import Look, Told, with_answers
from service.web_form.prefilled import WHOLE, Stored
from service.wording import translator

MOST = 200  # wires of a request; the customer's own form takes fewer


class Kept(NamedTuple):
    """Something that the form does not ask. `value`: of its tick box; `left`: whether it is left out."""

    value: str
    words: str
    left: bool


@dataclass(frozen=True, slots=True)
class Changes:
    """What a revision would change. `undone`: settlements that would not hold any more, in the words they were settled with."""

    words: list[str]
    before: str
    after: str
    undone: list[str]


@dataclass
class Revision(Errand):
    """The revision of a quote. `seen`: the entity tag of what the person saw; `mark`: makes a second sending harmless."""

    quote_id: str
    seen: str = ""
    refusal: Refusal | None = None
    changes: Changes | None = None
    _stored: Stored | None = None

    @cached_property
    def request(self) -> Json:
        """What the quote was made from."""
        found: Json = calls.read(f"/v1/quotes/{self.quote_id}/request")
        return found

    @cached_property
    def answer(self) -> calls.Answer:
        """The quote as it stands now."""
        return calls.get(f"/v1/quotes/{self.quote_id}")

    @cached_property
    def quote(self) -> Json:
        """The same, read."""
        found: Json = self.answer.value
        return found

    def view(self, language: str) -> View:
        """The same, as the desk shows it."""
        return view_of(self.quote, language)

    @property
    def readable(self) -> bool:
        """Whether its request can still be read; one of a much earlier release cannot."""
        return isinstance(load(self.request), QuoteRequest)

    def stored(self, form: Described) -> Stored:
        """Its request beside the form's questions."""
        if self._stored is None:
            self._stored = Stored(form, self.request)
        return self._stored

    def form(self, language: str) -> Described:
        """The customer's questions; a program may have asked for more wires than their form takes."""
        return {**described(language), "max_assemblies": MOST}

    def look(self, form: Described, draft: Draft) -> Look:
        """The form's templates within the desk's frame."""
        chosen = form["language"]
        last = draft.step == REVIEW and self.changes is None
        given_too = {
            **frame(), "view": self.view(chosen), "at": f"/desk/quotes/{self.quote_id}", "seen": self.seen or self.answer.etag, "refusal": self.refusal,
            "changes": self.changes, "kept": self._kept(form, draft) if draft.step == REVIEW else {}, "asks": last or draft.step != REVIEW,
        }  # fmt: skip
        review = "last.html" if self.changes is None else "changes.html"
        return Look(f"/desk/quotes/{self.quote_id}/revise", templates(chosen), begins=False, review=review, given=given_too)

    def tell(self, form: Described, draft: Draft, told: Told) -> Json | None:
        """What the current questions cannot show, and is kept; and the wire with all that is known of it."""
        stored, scope = self.stored(form), scope_of(form, draft.step)
        place = self._place(form, draft)
        if place is None:
            return None
        entries = {each.path: each for each in shown(form, scope, draft.answers(scope))}
        for group in stored.filled(place).kept:
            asked = question_at(entries.values(), group)
            if asked and entries[asked].question.get("pointer") == group and entries[asked].answer is None:
                told.kept[asked] = self._words(place, group, form["language"], value=True)
        return None if scope == "request" else stored.wire(draft.answers(scope))

    def open(self, form: Described, draft: Draft) -> frozenset[str]:
        """What the stored request does not answer either."""
        place = self._place(form, draft)
        return frozenset() if place is None else self.stored(form).filled(place).open

    def _place(self, form: Described, draft: Draft) -> int | None:
        """Which part of the stored request the page is about; None for a wire that was added."""
        if scope_of(form, draft.step) == "request":
            return WHOLE
        return self.stored(form).place(draft.answers("assembly"))

    def took(self, draft: Draft, posted: Posted) -> None:
        """Which of the kept things are ticked to be left out."""
        if "ticks" not in posted:
            return
        ticked = [each.partition(":") for each in posted.getlist("left")]
        for number, answers in enumerate((draft.whole, *draft.assemblies), start=WHOLE):
            left = [place for at, _, place in ticked if at == str(number)]
            answers.pop(LEFT, None)
            if left:
                answers[LEFT] = left

    def chose(self, language: str) -> None:
        """For the session."""
        staff().choose_language(the_session().id, language)

    def looked_over(self, form: Described, draft: Draft) -> Told:
        """A preview's findings, or the faults of what is asked."""
        told, _ = self._previewed(form, draft, language=form["language"])  # so that its sentences are the person's
        self.tell(form, draft, told)
        return told

    def sent(self, form: Described, draft: Draft) -> Told:
        """What it would change, before anything is issued."""
        told, after = self._previewed(form, draft)
        if after is not None:
            self.changes = self._changes(form, draft, after)
        return told

    def did(self, action: str, form: Described, draft: Draft) -> Response | None:
        """Issue the revision that was looked at."""
        if action != "confirm" or not draft.assemblies:
            return None
        draft.step = REVIEW
        answer = calls.post(f"/v1/quotes/{self.quote_id}/revisions", self.stored(form).revised(draft), draft.once, self.seen)
        if answer.ok:
            return go(f"/desk/quotes/{answer.value['id']}", "revised")
        if answer.status == HTTPStatus.NOT_FOUND:
            raise calls.problem_in(answer)
        self.refusal, self.seen = refusal_of(answer), ""
        if not self.view(form["language"]).may("revise"):
            self.refusal = Refusal(*said("not_to_be_revised"))
        return self.page(form, draft, self.sent(form, draft), answer.status)

    def reply(self, form: Described, made: bytes, style: str) -> Response:
        """With the desk's headers: no style is in the page."""
        return reply(made, 200, headers_of(form["language"]), HTML)

    def page(self, form: Described, draft: Draft, told: Told, status: int) -> Response:
        """The page, as a refusal."""
        made, _ = form_pages.page(form, draft, told, self.look(form, draft))
        return reply(made, status, headers_of(form["language"]), HTML)

    def _previewed(self, form: Described, draft: Draft, **other: str) -> tuple[Told, Json | None]:
        say = translator(form["language"])
        answer = calls.post("/v1/quotes/preview", {**self.stored(form).revised(draft), **other})
        if answer.ok:
            return judged(form, draft, answer.value, say), answer.value
        if answer.status != HTTPStatus.UNPROCESSABLE_ENTITY:
            raise calls.problem_in(answer)
        return refused(form, draft, answer.value["errors"], say), None

    def _changes(self, form: Described, draft: Draft, after: Json) -> Changes:
        view = self.view(form["language"])
        asked = [each if isinstance(each, QuoteRequest) else None for each in map(load, (self.request, self.stored(form).revised(draft)))]
        found = difference(self.quote, after, Requests(*asked), self._voice(form["language"]))
        still = {each.id for each in carried(view.quote, read(after)).settlements}
        undone = [each.words for each in settlements_of(view.quote) if each.undone is None and each.id not in still]
        return Changes(found["words"], view.payable, view.money(after["totals"]["payable"]), undone)

    def _voice(self, language: str) -> Voice:
        return voice_for(language, self.quote["display_units"], "shop")

    def _kept(self, form: Described, draft: Draft) -> dict[int, list[Kept]]:
        """What the form does not ask, by the wire's number in the draft."""
        stored, found = self.stored(form), {}
        for number, answers in enumerate((draft.whole, *draft.assemblies), start=WHOLE):
            place = WHOLE if number == WHOLE else stored.place(answers)
            if place is not None:
                told = [(group, self._words(place, group, form["language"])) for group in stored.filled(place).kept]
                found[number] = [Kept(f"{number}:{group}", words, group in answers.get(LEFT, ())) for group, words in told if words]
        return found

    @cached_property
    def _given(self) -> dict[int, list[Given]]:
        """Everything that its request says, by the wire's place in it."""
        asked, found = load(self.request), defaultdict[int, list[Given]](list)
        for each in given(asked) if isinstance(asked, QuoteRequest) else ():
            steps = each.pointer.split("/")
            found[int(steps[2]) if steps[1] == "assemblies" else WHOLE].append(each)
        return found

    def _words(self, place: int, group: str, language: str, *, value: bool = False) -> str:
        """What stands at a place, in words: what each thing is, and its value; or the value alone."""
        at = group if place == WHOLE else f"/assemblies/{place}{group}"
        voice = self._voice(language)
        there = [each for each in self._given[place] if within(each.pointer, at)]
        if value:
            return "; ".join(voice.value(each.value) for each in there)
        shared = _shared([each.what.items[:-1] for each in there])  # said once
        names = [Listing(each.what.items[shared if place else 0 :], each.what.join) for place, each in enumerate(there)]
        return "; ".join(f"{voice.value(name)}: {voice.value(each.value)}" for name, each in zip(names, there, strict=True))


def _shared(lists: list[tuple[Value, ...]]) -> int:
    """How many items all begin with."""
    return next(
        (many for many, each in enumerate(zip(*lists, strict=False)) if len(set(map(str, each))) > 1), min(map(len, lists), default=0)
    )


@cache
def templates(chosen: str) -> Environment:
    """The form's templates in a language, of which the desk has its own frame and last pages."""
    own, form, desk = FileSystemLoader(FOLDER / "revise"), FileSystemLoader(form_pages.FOLDER), FileSystemLoader(FOLDER)
    return with_answers(form_pages.environment(chosen).overlay(loader=ChoiceLoader([own, form, PrefixLoader({"desk": desk}), desk])))


def style() -> str:
    """The form's own style, without that of all pages; and where parts of a drawing lie, by whole per cents."""
    places = "".join(
        f".x{n} {{ left: {n}%; }} .y{n} {{ top: {n}%; }} .w{n} {{ width: {n}%; }} .h{n} {{ height: {n}%; }}\n" for n in range(101)
    )
    return form_pages.STYLE[len(SHARED) :] + places

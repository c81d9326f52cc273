"""Cutting plans at the bench: made for the ticked quotes, shown in cutting order, taken by a person, and put back."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any
from uuid import UUID

from flask import Blueprint, Response, request

from service.auth.sessions import the_session
from service.desk import calls
from service.desk.bench import bench_list, ticks
from service.desk.bench_words import refused_at_the_bench
from service.desk.numbers import page_speech
from service.desk.pages import HTML, language, redirect, render_page
from service.desk.refusal_words import Refusal
from service.documents.bench_sheet import figures
from service.documents.cutting_plan import words
from service.documents.cutting_plan.named import as_named
from service.documents.speech import Speech
from service.http.responses import produces
from service.wording import translator

bench_cuts = Blueprint("desk_bench_cuts", __name__)
_ID = re.compile(r"[0-9a-f-]{36}", re.ASCII)
MOST_TICKED = 100  # the API plans 200
READY, MAY_BE_CUT = "ready_to_cut", frozenset({"accepted", "in_work", "built", "handed_over"})
Json = dict[str, Any]


def _(text: str) -> str:
    return text


_NONE = _("Nothing was chosen")
_TICK = _("Tick the quotes to be cut together, then plan again.")
_MANY = _("%(many)s quotes are ticked, which is too many for one plan")
_FEWER = _("Nothing was planned. At most %(most)s are planned together: take some of the ticks away, and plan the rest afterwards.")
_GONE = {
    "not_ready": _("must not be cut yet: it is settled at the counter first."),
    "already_cut": _("is cut already."),
}


@bench_cuts.get("/desk/bench/plans")
@produces(HTML)
def plans() -> Response:
    """The recent plans, to find one again."""
    page = calls.read("/v1/cutting-plans", {"limit": 20, "cursor": request.args.get("cursor")})
    return render_page("bench_plans.html", plans=page["plans"], following=page["next"], speech=page_speech())


@bench_cuts.post("/desk/bench/plans")
@produces(HTML)
def make() -> Response:
    """Plan the ticked quotes together; or, if a page button was pressed, turn to that page and keep the ticks."""
    other_page, cursor, quote_ids = request.form.get("page"), request.form.get("cursor") or None, list(ticks())
    if other_page is not None:
        return bench_list(other_page or None)
    if refusal := _too_few_or_many(len(quote_ids)):
        return bench_list(cursor, refusal, 422)
    order = {"quotes": quote_ids, "display_units": _units(quote_ids)}
    answer = calls.post("/v1/cutting-plans", order, once=request.form.get("once", ""))
    if answer.ok:
        return redirect(f"/desk/bench/plans/{answer.value['id']}")
    return bench_list(cursor, refused_at_the_bench(answer), answer.status)


def _too_few_or_many(many: int) -> Refusal | None:
    """Why this number of quotes cannot be planned together; None if it can."""
    say = translator(language())
    if not many:
        return Refusal(say(_NONE), say(_TICK))
    return Refusal(say(_MANY) % {"many": many}, say(_FEWER) % {"most": MOST_TICKED}) if many > MOST_TICKED else None


@bench_cuts.get("/desk/bench/plans/<uuid:plan_id>")
@produces(HTML)
def plan(plan_id: UUID) -> Response:
    """A plan: which piece to cut from which spool or offcut, in order, and what remains."""
    return _page(str(plan_id))


@bench_cuts.post("/desk/bench/plans/<uuid:plan_id>/take")
@produces(HTML)
def take(plan_id: UUID) -> Response:
    """Take a plan: its wire leaves the shelf, in the name of whoever is signed in."""
    return _moved(str(plan_id), "take", "plan_taken")


@bench_cuts.post("/desk/bench/plans/<uuid:plan_id>/undo")
@produces(HTML)
def undo(plan_id: UUID) -> Response:
    """Put back what a plan took, as long as nothing was cut from it."""
    return _moved(str(plan_id), "reversal", "plan_put_back")


def _units(quote_ids: list[str]) -> str:
    """The display units that all these quotes share; otherwise metric."""
    answers = [calls.call("GET", f"/v1/quotes/{each}", {"view": "summary"}) for each in quote_ids[:20] if _ID.fullmatch(each)]
    return "imperial" if {each.value["display_units"] for each in answers if each.ok} == {"imperial"} else "metric"


def _moved(plan_id: str, step: str, done: str) -> Response:
    note = request.form.get("note", "").strip()
    order = {"by": the_session().person.name, **({"note": note} if note else {})}
    answer = calls.post(f"/v1/cutting-plans/{plan_id}/{step}", order, once=request.form.get("once", ""))
    if answer.ok:
        return redirect(f"/desk/bench/plans/{plan_id}", done)
    return _page(plan_id, answer)


def _page(plan_id: str, answer: calls.Answer | None = None) -> Response:
    document = calls.read(f"/v1/cutting-plans/{plan_id}")
    movements = calls.read("/v1/stock/movements", {"plan": plan_id})["movements"]
    taken = next((each for each in movements if each["type"] == "take" and not each["reversed"]), None)
    speech = page_speech(document["display_units"])
    refusal = answer and refused_at_the_bench(answer, "already_taken" if taken and request.path.endswith("/take") else "")
    tags = {each["remnant_id"]: each["tag"] for each in taken["kept_as"]} if taken else {}
    named = as_named(document, tags, speech)
    return render_page(
        "bench_plan.html", answer.status if answer else 200, plan=named, title=words.title(document, speech), taken=taken, latest=next(iter(movements), None), may=_may_be_cut(document),
        left_out=list(_left_out(document)), unplanned=[words.plain(words.unplanned(row, speech)) for wire in named["wires"] for row in wire["unplanned"]],
        remnants=_remnants(taken, document, speech), words=_PlanWords(speech), speech=speech, refusal=refusal, typed=request.form if refusal else {},
    )  # fmt: skip


class _PlanWords:
    """Writes a plan's figures and names for its template, in the page's language."""

    def __init__(self, speech: Speech) -> None:
        self._speech = speech

    def length(self, figure: Mapping[str, str]) -> str:
        """A length of the plan."""
        return self._speech.local(figure["text"])

    def name(self, text: str) -> str:
        """The name of a wire."""
        return self._speech.named(text)

    def source(self, use: Json) -> str:
        """What is cut: a new spool, an opened one or an offcut."""
        return words.source(use, self._speech)

    def note(self, note: Json, wire: Json) -> str:
        """A note of the planner."""
        return words.note(note, wire, self._speech)

    def to_customer(self, use: Json) -> bool:
        """Whether the remnant goes to the customer."""
        return words.is_customers(use)


def _may_be_cut(document: Json) -> set[tuple[str, str]]:
    """Number and tag of each assembly that may be cut now: it is ready, and its quote accepted. Pieces that belong to no quote always may."""
    allowed = set()
    for listed in document.get("quotes") or ():
        answer = calls.call("GET", f"/v1/quotes/{listed['id']}", {"view": "summary"})
        if answer.ok and answer.value["status"] in MAY_BE_CUT:
            ready = answer.value.get("current_readiness", {})
            allowed |= {
                (listed["number"], each["tag"]) for each in answer.value["assemblies"] if ready.get(each["tag"], each["readiness"]) == READY
            }
    return allowed


def _left_out(document: Json) -> Iterator[str]:
    """Why each piece that was asked for is not in the plan."""
    say = translator(language())
    for each in document.get("left_out") or ():
        yield f"{each['quote']}, {each['quantity']} × {each['label']}: {say(_GONE[each['reason']]) if each['reason'] in _GONE else each['message']}"


def _remnants(taken: Json | None, document: Json, speech: Speech) -> list[Json]:
    """The tag, length and wire of each remnant that the shop keeps, once the plan is taken."""
    if taken is None:
        return []
    kept = {each["tag"] for each in taken["kept_as"]}
    names = {each["wire"]["sku"]: speech.named(each["wire"]["name"]) for each in document["wires"]}
    rows = [each for each in taken["added"] if each["id"] in kept]
    return [
        {
            "tag": each["id"],
            "length": figures.length(Decimal(each["length"]["mm"]), speech)[speech.units],
            "wire": names.get(each["wire"], each["wire"]),
        }
        for each in rows
    ]

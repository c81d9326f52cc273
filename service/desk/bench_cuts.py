"""Plans at the bench: made for chosen quotes, shown in the order of the cuts, taken by a person, and put back."""

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
from service.desk.numbers import spoken
from service.desk.pages import HTML, go, language, shown
from service.desk.words import Refusal
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
    """The plans made lately, to find one again."""
    page = calls.read("/v1/cutting-plans", {"limit": 20, "cursor": request.args.get("cursor")})
    return shown("bench_plans.html", plans=page["plans"], following=page["next"], speech=spoken())


@bench_cuts.post("/desk/bench/plans")
@produces(HTML)
def make() -> Response:
    """Plan the quotes that are ticked together; or turn the page, and keep the ticks: the button says which page."""
    turned, cursor, chosen = request.form.get("page"), request.form.get("cursor") or None, list(ticks())
    if turned is not None:
        return bench_list(turned or None)
    if refusal := _uncounted(len(chosen)):
        return bench_list(cursor, refusal, 422)
    order = {"quotes": chosen, "display_units": _units(chosen)}
    answer = calls.post("/v1/cutting-plans", order, once=request.form.get("once", ""))
    if answer.ok:
        return go(f"/desk/bench/plans/{answer.value['id']}")
    return bench_list(cursor, refused_at_the_bench(answer), answer.status)


def _uncounted(many: int) -> Refusal | None:
    """Why so many are not planned together."""
    say = translator(language())
    if not many:
        return Refusal(say(_NONE), say(_TICK))
    return Refusal(say(_MANY) % {"many": many}, say(_FEWER) % {"most": MOST_TICKED}) if many > MOST_TICKED else None


@bench_cuts.get("/desk/bench/plans/<uuid:plan_id>")
@produces(HTML)
def plan(plan_id: UUID) -> Response:
    """A plan: which piece from which spool or offcut, in order, and what remains."""
    return _page(str(plan_id))


@bench_cuts.post("/desk/bench/plans/<uuid:plan_id>/take")
@produces(HTML)
def take(plan_id: UUID) -> Response:
    """Take a plan: its wire leaves the shelf in the name of whoever pressed."""
    return _moved(str(plan_id), "take", "plan_taken")


@bench_cuts.post("/desk/bench/plans/<uuid:plan_id>/undo")
@produces(HTML)
def undo(plan_id: UUID) -> Response:
    """Put back what a plan took, as long as nothing was cut of it."""
    return _moved(str(plan_id), "reversal", "plan_put_back")


def _units(chosen: list[str]) -> str:
    """Those of the quotes, if all have the same; else metric."""
    answers = [calls.call("GET", f"/v1/quotes/{each}", {"view": "summary"}) for each in chosen[:20] if _ID.fullmatch(each)]
    return "imperial" if {each.value["display_units"] for each in answers if each.ok} == {"imperial"} else "metric"


def _moved(plan_id: str, step: str, done: str) -> Response:
    note = request.form.get("note", "").strip()
    order = {"by": the_session().person.name, **({"note": note} if note else {})}
    answer = calls.post(f"/v1/cutting-plans/{plan_id}/{step}", order, once=request.form.get("once", ""))
    if answer.ok:
        return go(f"/desk/bench/plans/{plan_id}", done)
    return _page(plan_id, answer)


def _page(plan_id: str, answer: calls.Answer | None = None) -> Response:
    document = calls.read(f"/v1/cutting-plans/{plan_id}")
    moved = calls.read("/v1/stock/movements", {"plan": plan_id})["movements"]
    taken = next((each for each in moved if each["type"] == "take" and not each["reversed"]), None)
    said = spoken(document["display_units"])
    refusal = answer and refused_at_the_bench(answer, "already_taken" if taken and request.path.endswith("/take") else "")
    tags = {each["remnant_id"]: each["tag"] for each in taken["kept_as"]} if taken else {}
    named = as_named(document, tags, said)
    return shown(
        "bench_plan.html", answer.status if answer else 200, plan=named, title=words.title(document, said), taken=taken, back=next(iter(moved), None), may=_may_be_cut(document),
        left_out=list(_left_out(document)), unplanned=[words.plain(words.unplanned(row, said)) for wire in named["wires"] for row in wire["unplanned"]],
        remnants=_remnants(taken, document, said), words=_Said(said), speech=said, refusal=refusal, typed=request.form if refusal else {},
    )  # fmt: skip


class _Said:
    """What the page asks of the language for figures and names of a plan."""

    def __init__(self, said: Speech) -> None:
        self._said = said

    def length(self, figure: Mapping[str, str]) -> str:
        """A length as the plan gives it."""
        return self._said.local(figure["text"])

    def name(self, text: str) -> str:
        """The name of a wire."""
        return self._said.named(text)

    def source(self, use: Json) -> str:
        """What kind of object is cut."""
        return words.source(use, self._said)

    def note(self, note: Json, wire: Json) -> str:
        """A note of the planner."""
        return words.note(note, wire, self._said)

    def to_customer(self, use: Json) -> bool:
        """Whether the remnant goes to the customer."""
        return words.is_customers(use)


def _may_be_cut(document: Json) -> set[tuple[str, str]]:
    """Number and tag of what may be cut now: of an accepted quote, and ready. Whatever is cut by itself, of no quote, always may."""
    found = set()
    for each in document.get("quotes") or ():
        whole = calls.call("GET", f"/v1/quotes/{each['id']}", {"view": "summary"})
        if whole.ok and whole.value["status"] in MAY_BE_CUT:
            ready = whole.value.get("current_readiness", {})
            found |= {(each["number"], one["tag"]) for one in whole.value["assemblies"] if ready.get(one["tag"], one["readiness"]) == READY}
    return found


def _left_out(document: Json) -> Iterator[str]:
    say = translator(language())
    for each in document.get("left_out") or ():
        yield f"{each['quote']}, {each['quantity']} × {each['label']}: {say(_GONE[each['reason']]) if each['reason'] in _GONE else each['message']}"


def _remnants(taken: Json | None, document: Json, said: Speech) -> list[Json]:
    """What is written on which remnant after taking."""
    if taken is None:
        return []
    kept = {each["tag"] for each in taken["kept_as"]}
    names = {each["wire"]["sku"]: said.named(each["wire"]["name"]) for each in document["wires"]}
    rows = [each for each in taken["added"] if each["id"] in kept]
    return [
        {
            "tag": each["id"],
            "length": figures.length(Decimal(each["length"]["mm"]), said)[said.units],
            "wire": names.get(each["wire"], each["wire"]),
        }
        for each in rows
    ]

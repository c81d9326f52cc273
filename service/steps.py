"""The steps of a quote's life: what the engine says, what the store keeps, and the refusals between them, for the views."""

from __future__ import annotations

from typing import Any

from pricing.as_built import judge_built
from pricing.difference import difference as between
from service.bodies import decoded
from service.catalogues import NotKept
from service.life.said import Acceptance, BuiltRecord, Ending
from service.life.statuses import Status, Step
from service.parts import catalogues, engine, lives, stock, store
from service.preconditions import judge_match
from service.problems import Problem, fault
from service.schemas import read_request
from service.storage import Edition, Event, NoQuote, Packed, Stored, moment

WHAT = {Step.ACCEPT: "accepted", Step.DECLINE: "declined", Step.WITHDRAW: "withdrawn"}


def quote(quote_id: str) -> Stored:
    """The stored quote with its status of today. Raises NoQuote."""
    stored = store().get(quote_id)
    if stored is None:
        raise NoQuote(quote_id)
    return stored.on(engine().today())


def relations(stored: Stored) -> dict[str, str]:
    """Where the issues before and after it are, as a Link header (RFC 8288, relations of RFC 5829); nothing for an only issue."""
    found = {}
    if stored.revision > 1:
        found["predecessor-version"] = store().issue_of(stored.number, stored.revision - 1)
    if stored.status == Status.SUPERSEDED:
        found["successor-version"] = store().issue_of(stored.number, stored.revision + 1)
    links = [f'</v1/quotes/{each}>; rel="{relation}"' for relation, each in found.items() if each]
    return {"Link": ", ".join(links)} if links else {}


def revise(quote_id: str, body: bytes) -> Stored:
    """Quote the body today and issue it in place of a quote. Raises NoQuote, NotAllowed, Problem."""
    before = quote(quote_id)
    made = engine().quote_and_plan(read_request(decoded(body), engine().known_price_lists()), stock())
    changed = between(before.said(), made.document)
    document = {"supersedes": before.id, "difference": changed, **made.document}
    return lives().revise(quote_id, Packed.of(document, body, made.bench), judge_match)


def difference(quote_id: str) -> dict[str, Any]:
    """What a revision changed. Raises NoQuote; Problem (404) for a first issue."""
    stored = quote(quote_id)
    said = stored.said()
    if "difference" not in said:
        raise Problem(404, "This is the first issue of its number: there is nothing that it differs from.")
    return {"number": stored.number, "revision": stored.revision, "supersedes": said["supersedes"], **said["difference"]}


def accept(quote_id: str, said: Acceptance) -> Stored:
    """Accept. Raises NoQuote, NotAllowed; Problem: 409 with an assembly on hold, 412 for another state than was seen."""
    event = Event(moment(), WHAT[Step.ACCEPT], said.customer.name, said.note)
    return lives().take(quote_id, Step.ACCEPT, event, _judge_acceptance)


def _judge_acceptance(stored: Stored) -> None:
    held = stored.said()["left_out"]
    if held:
        words = f"On hold and not in the total: {', '.join(held)}. Issue a revision that can be built whole, or leaves them out."
        raise Problem(409, words, [fault("#", "on_hold", words)])
    judge_match(stored)


def end(quote_id: str, step: Step, said: Ending) -> Stored:
    """Decline or withdraw. Raises NoQuote, NotAllowed, Problem (412)."""
    return lives().take(quote_id, step, Event(moment(), WHAT[step], said.by, said.reason), judge_match)


def record_built(quote_id: str, said: BuiltRecord) -> bytes:
    """Judge finished assemblies by the tables that the quote was made with, and keep the record. Raises NoQuote, NotAllowed, RequestError."""
    document = quote(quote_id).said()
    provenance = document["provenance"]
    try:
        articles = catalogues().of(Edition(provenance["catalogue"], provenance["price_table"])).catalogue.index.article
        tables = "kept"
    except NotKept:
        articles, tables = {}, "not_kept"
    judged = judge_built(document, said.assemblies, articles)
    verdict = "fail" if any(each["verdict"] == "fail" for each in judged) else "pass"
    record = {
        "by": said.by,
        "note": said.note,
        "verdict": verdict,
        "catalogue": provenance["catalogue"],
        "tables": tables,
        "assemblies": judged,
    }
    return lives().record_built(quote_id, record, said.by)


def built(quote_id: str) -> bytes:
    """Every record, oldest first, as JSON. Raises NoQuote."""
    quote(quote_id)
    return b'{"records":[' + b",".join(lives().built(quote_id)) + b"]}"


def history(quote_id: str) -> dict[str, Any]:
    """Everything that happened, and where the quote stands today. Raises NoQuote."""
    stored = quote(quote_id)
    happened = [event._asdict() for event in lives().history(quote_id)]
    return {"number": stored.number, "revision": stored.revision, "status": stored.status, "events": happened}

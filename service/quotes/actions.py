"""The steps of a quote's lifecycle, as the views call them: each combines the engine and the store, and refuses what is not allowed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from msgspec.structs import replace

from pricing.document import rendered, revised
from pricing.model import AcceptedBy, Quote
from pricing.records.as_built import judge_built
from pricing.records.difference import Requests
from pricing.records.difference import difference as between
from pricing.settling import carried, may_be_accepted, open_asks, standing_of
from service.computing.asking import quoted, read_earlier_request, read_quote_request
from service.credentials.people import DESK
from service.engine.catalogues import NotKept
from service.http.caller import key_name
from service.http.current import catalogues, engine, lifecycles, staff, store
from service.http.preconditions import judge_match
from service.http.problems import Problem, fault, unknown
from service.lifecycle.actions import Acceptance, BuiltRecord, Cancelling, Declining, Ending, Handover
from service.lifecycle.events import EventType
from service.lifecycle.statuses import Status, Step
from service.quotes.readers import judge_reader
from service.storage import Change, Edition, Event, NoQuote, Packed, Stored, moment

TYPES = {Step.DECLINE: EventType.DECLINED, Step.WITHDRAW: EventType.WITHDRAWN}


def quote(quote_id: str) -> Stored:
    """The stored quote, with its status as of today. Raises NoQuote."""
    stored = store().get(quote_id)
    if stored is None:
        raise NoQuote(quote_id)
    return stored.on(engine().today())


def relations(stored: Stored) -> dict[str, str]:
    """The Link header to the previous and the next issue (RFC 8288, relations of RFC 5829); empty for a quote with a single issue."""
    issues = {}
    if stored.revision > 1:
        issues["predecessor-version"] = store().issue_of(stored.number, stored.revision - 1)
    if stored.status == Status.SUPERSEDED:
        issues["successor-version"] = store().issue_of(stored.number, stored.revision + 1)
    links = [f'</v1/quotes/{quote_id}>; rel="{relation}"' for relation, quote_id in issues.items() if quote_id]
    return {"Link": ", ".join(links)} if links else {}


def revise(quote_id: str, body: bytes, judge: Callable[[Stored], None] = judge_match) -> Stored:
    """Quote the request body at today's prices and issue the result as the next revision. Raises NoQuote, NotAllowed, Problem."""
    return lifecycles().revise(quote_id, _packed_revision(quote_id, body), judge)


def correct(quote_id: str, body: bytes) -> Stored:
    """Revise an accepted quote within its price, before anything is cut; the revision takes over the acceptance. Raises NoQuote, NotAllowed;
    Problem: 409 if the customer would have to accept the revision again.
    """
    packed = _packed_revision(quote_id, body)

    def judge(stored: Stored) -> None:
        judge_match(stored)
        _judge_correction(stored.quote(), packed.quote)

    event = Event(moment(), EventType.CORRECTED.value, key=packed.key)
    return lifecycles().correct(quote_id, packed, event, judge)


def _packed_revision(quote_id: str, body: bytes) -> Packed:
    before, request_before = store().with_request(quote_id)
    request = read_quote_request(body)
    made = quoted(request)
    changes = between(before.parsed(), rendered(made), Requests(read_earlier_request(request_before), request))
    return Packed.of(revised(made, before.id, changes), body, key_name())


def _judge_correction(before: Quote, after: Quote) -> None:
    faults = []
    accepted, corrected = before.totals.payable, after.totals.payable
    if accepted is None or corrected is None or before.currency != after.currency or corrected > accepted:
        words = f"the correction costs {corrected} {after.currency}; the customer accepted {accepted} {before.currency}"
        faults.append(("costs_more", words))
    if not may_be_accepted(after):
        faults.append(("on_hold", f"{', '.join(after.left_out)} cannot be built from this request"))
    known = {(ask.tag, ask.finding.code) for ask in open_asks(before)}
    new = [ask for ask in open_asks(after, carried(before, after).settlements) if (ask.tag, ask.finding.code) not in known]
    faults += [("asks_more", f"{ask.tag or 'the quote'}: {ask.finding.message}") for ask in new]
    if faults:
        words = "This goes beyond a correction of what the customer accepted: issue a revision, for the customer to accept."
        raise Problem(409, words, [fault("#", code, detail) for code, detail in faults])


def difference(quote_id: str) -> dict[str, Any]:
    """What a revision changed from the issue before. Raises NoQuote; Problem (404) for a first issue."""
    stored = quote(quote_id)
    document = stored.parsed()
    if "difference" not in document:
        raise unknown("id", "first_revision", "This is the first revision of its number: there is no earlier one to compare it with.")
    return {"number": stored.number, "revision": stored.revision, "supersedes": document["supersedes"], **document["difference"]}


Judge = Callable[[Stored], None]


def _nothing(_: Stored) -> None:
    """The default for `first`: no check of its own."""


def accept(quote_id: str, acceptance: Acceptance, first: Judge = _nothing) -> Stored:
    """Accept the quote. `first` is called with the locked quote before any other check, and may raise. Raises NoQuote, NotAllowed; Problem: as
    `judge_reader`; 409 if an assembly is on hold, or if findings are open and the customer does not state that they know; 412 if the quote
    is not in the state that the customer has read.
    """
    judge_reader(quote_id, acceptance.customer.email)
    by, at = acceptance.customer.name, moment()

    def judge(stored: Stored) -> None:
        first(stored)
        _judge_acceptance(stored.quote(), acceptance)
        judge_match(stored)

    def change(stored: Stored) -> Change:
        issue = stored.quote()
        still_open = bool(open_asks(issue))
        accepted = AcceptedBy(by, at, acceptance.open if still_open else None, acceptance.understood if still_open else None)
        return Change(replace(standing_of(issue), accepted=accepted))

    event = Event(at, EventType.ACCEPTED.value, by, acceptance.note, key_name())
    return lifecycles().take(quote_id, Step.ACCEPT, event, judge, change)


def decline(quote_id: str, declining: Declining, judge: Judge = judge_match) -> Stored:
    """Decline the quote, for its customer. Raises NoQuote, NotAllowed, Problem (as `judge_reader`; 412)."""
    judge_reader(quote_id, None if declining.customer is None else declining.customer.email)
    return end(quote_id, Step.DECLINE, declining, judge)


def _judge_acceptance(issue: Quote, acceptance: Acceptance) -> None:
    if not may_be_accepted(issue):
        held = ", ".join(issue.left_out)
        words = f"On hold and not in the total: {held}. Issue a revision in which they can be built, or that leaves them out."
        raise Problem(409, words, [fault("#", "on_hold", words)])
    asks = open_asks(issue)
    if asks and acceptance.open is None:
        words = (
            "Open findings must be settled before cutting: let the shop settle them first, or accept with `open` set to `as_listed` and, in "
            "`understood`, the customer's own statement that they know about them."
        )
        raise Problem(409, words, [fault("#/open", "open_findings", f"{ask.tag or 'the quote'}: {ask.finding.message}") for ask in asks])
    if asks and acceptance.understood is None:
        words = "While findings are open, `understood` is required: the customer's own statement that they know about them."
        raise Problem(422, words, [fault("#/understood", "required", words)])


def cancel(quote_id: str, cancelling: Cancelling) -> Stored:
    """Cancel an accepted quote, for the shop. Raises NoQuote, NotAllowed, Problem (412)."""
    event = Event(moment(), EventType.CANCELLED.value, cancelling.by, cancelling.reason, key_name())
    return lifecycles().take(quote_id, Step.CANCEL, event, judge_match)


def hand_over(quote_id: str, handover: Handover) -> Stored:
    """Record that the finished assemblies were handed over. Raises NoQuote, NotAllowed, Problem (412)."""
    note = ". ".join(part for part in (f"To {handover.to}" if handover.to else None, handover.note) if part)
    event = Event(moment(), EventType.HANDED_OVER.value, handover.by, note or None, key_name())
    return lifecycles().take(quote_id, Step.HAND_OVER, event, judge_match)


def end(quote_id: str, step: Step, ending: Ending, judge: Judge = judge_match) -> Stored:
    """Decline or withdraw the quote, as `step` says. Raises NoQuote, NotAllowed, Problem (412)."""
    return lifecycles().take(quote_id, step, Event(moment(), TYPES[step].value, ending.by, ending.reason, key_name()), judge)


def record_built(quote_id: str, built_record: BuiltRecord) -> bytes:
    """Check finished assemblies against the tables the quote was made with, and store the record. Returns the record as JSON. Raises NoQuote,
    NotAllowed, RequestError.
    """
    issue = quote(quote_id).quote()
    provenance = issue.provenance
    try:
        articles = catalogues().of(Edition(provenance.catalogue, provenance.price_table)).catalogue.index.article
        tables = "kept"
    except NotKept:
        articles, tables = {}, "not_kept"
    judged = judge_built(issue, built_record.assemblies, articles)
    verdict = "fail" if any(each["verdict"] == "fail" for each in judged) else "pass"
    record = {
        "by": built_record.by,
        "note": built_record.note,
        "verdict": verdict,
        "catalogue": provenance.catalogue,
        "tables": tables,
        "assemblies": judged,
    }
    return lifecycles().record_built(quote_id, record, built_record.by, key_name())


def built(quote_id: str) -> bytes:
    """All records of finished assemblies, oldest first, as JSON. Raises NoQuote."""
    quote(quote_id)
    return b'{"records":[' + b",".join(lifecycles().built(quote_id)) + b"]}"


def history(quote_id: str) -> dict[str, Any]:
    """The quote's history and its status today, with the names of the shop's people who took part. Raises NoQuote."""
    stored = quote(quote_id)
    steps = lifecycles().history(quote_id)
    names = staff().named({step.key.removeprefix(DESK) for step in steps if step.key and step.key.startswith(DESK)})
    events = [{**step._asdict(), "person": names.get((step.key or "").removeprefix(DESK)) or None} for step in steps]
    return {"number": stored.number, "revision": stored.revision, "status": stored.status, "events": events}

"""The steps of a quote's lifecycle, for the views: they combine the engine and the store, and refuse what is not allowed."""

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
    """The stored quote with its status as of today. Raises NoQuote."""
    stored = store().get(quote_id)
    if stored is None:
        raise NoQuote(quote_id)
    return stored.on(engine().today())


def relations(stored: Stored) -> dict[str, str]:
    """The previous and next issue, as a Link header (RFC 8288, relations of RFC 5829); empty for a quote that was issued only once."""
    found = {}
    if stored.revision > 1:
        found["predecessor-version"] = store().issue_of(stored.number, stored.revision - 1)
    if stored.status == Status.SUPERSEDED:
        found["successor-version"] = store().issue_of(stored.number, stored.revision + 1)
    links = [f'</v1/quotes/{each}>; rel="{relation}"' for relation, each in found.items() if each]
    return {"Link": ", ".join(links)} if links else {}


def revise(quote_id: str, body: bytes, judge: Callable[[Stored], None] = judge_match) -> Stored:
    """Quote the request body today and issue the result in place of a quote. Raises NoQuote, NotAllowed, Problem."""
    return lifecycles().revise(quote_id, _next(quote_id, body), judge)


def correct(quote_id: str, body: bytes) -> Stored:
    """The same within the accepted price and before anything is cut: the revision takes over the acceptance. Raises NoQuote, NotAllowed;
    Problem: 409 if the customer would have to accept it again.
    """
    packed = _next(quote_id, body)

    def judge(stored: Stored) -> None:
        judge_match(stored)
        _judge_correction(stored.quote(), packed.quote)

    event = Event(moment(), EventType.CORRECTED.value, key=packed.key)
    return lifecycles().correct(quote_id, packed, event, judge)


def _next(quote_id: str, body: bytes) -> Packed:
    before, earlier = store().with_request(quote_id)
    asked = read_quote_request(body)
    made = quoted(asked)
    changed = between(before.said(), rendered(made), Requests(read_earlier_request(earlier), asked))
    return Packed.of(revised(made, before.id, changed), body, key_name())


def _judge_correction(before: Quote, after: Quote) -> None:
    faults = []
    one, other = before.totals.payable, after.totals.payable
    if one is None or other is None or before.currency != after.currency or other > one:
        faults.append(("costs_more", f"the correction costs {other} {after.currency}; the customer accepted {one} {before.currency}"))
    if not may_be_accepted(after):
        faults.append(("on_hold", f"{', '.join(after.left_out)} cannot be built from this request"))
    known = {(each.tag, each.finding.code) for each in open_asks(before)}
    fresh = [each for each in open_asks(after, carried(before, after).settlements) if (each.tag, each.finding.code) not in known]
    faults += [("asks_more", f"{each.tag or 'the quote'}: {each.finding.message}") for each in fresh]
    if faults:
        words = "This goes beyond a correction of what the customer accepted: issue a revision, for the customer to accept."
        raise Problem(409, words, [fault("#", code, each) for code, each in faults])


def difference(quote_id: str) -> dict[str, Any]:
    """What a revision changed. Raises NoQuote; Problem (404) for a first issue."""
    stored = quote(quote_id)
    said = stored.said()
    if "difference" not in said:
        raise unknown("id", "first_revision", "This is the first revision of its number: there is no earlier one to compare it with.")
    return {"number": stored.number, "revision": stored.revision, "supersedes": said["supersedes"], **said["difference"]}


Judge = Callable[[Stored], None]


def _nothing(_: Stored) -> None:
    """No judgement beside those of the step."""


def accept(quote_id: str, said: Acceptance, first: Judge = _nothing) -> Stored:
    """Accept the quote; `first` may raise before anything else of it is judged. Raises NoQuote, NotAllowed; Problem: as `judge_reader`; 409 if an assembly is on hold, or if something is still asked and the customer
    does not say that this is understood; 412 if the quote is not in the state that was seen.
    """
    judge_reader(quote_id, said.customer.email)
    by, at = said.customer.name, moment()

    def judge(stored: Stored) -> None:
        first(stored)
        _judge_acceptance(stored.quote(), said)
        judge_match(stored)

    def change(stored: Stored) -> Change:
        found = stored.quote()
        still = bool(open_asks(found))
        accepted = AcceptedBy(by, at, said.open if still else None, said.understood if still else None)
        return Change(replace(standing_of(found), accepted=accepted))

    event = Event(at, EventType.ACCEPTED.value, by, said.note, key_name())
    return lifecycles().take(quote_id, Step.ACCEPT, event, judge, change)


def decline(quote_id: str, said: Declining, judge: Judge = judge_match) -> Stored:
    """The customer declines. Raises NoQuote, NotAllowed, Problem (as `judge_reader`; 412)."""
    judge_reader(quote_id, None if said.customer is None else said.customer.email)
    return end(quote_id, Step.DECLINE, said, judge)


def _judge_acceptance(found: Quote, said: Acceptance) -> None:
    if not may_be_accepted(found):
        held = ", ".join(found.left_out)
        words = f"On hold and not in the total: {held}. Issue a revision in which they can be built, or that leaves them out."
        raise Problem(409, words, [fault("#", "on_hold", words)])
    still = open_asks(found)
    if still and said.open is None:
        words = (
            "Open findings must be settled before cutting: let the shop settle them first, or accept with `open` set to `as_listed` and, in "
            "`understood`, the customer's own statement that they know about them."
        )
        raise Problem(
            409, words, [fault("#/open", "open_findings", f"{each.tag or 'the quote'}: {each.finding.message}") for each in still]
        )
    if still and said.understood is None:
        words = "While findings are open, `understood` is required: the customer's own statement that they know about them."
        raise Problem(422, words, [fault("#/understood", "required", words)])


def cancel(quote_id: str, said: Cancelling) -> Stored:
    """The shop cancels what was accepted. Raises NoQuote, NotAllowed, Problem (412)."""
    event = Event(moment(), EventType.CANCELLED.value, said.by, said.reason, key_name())
    return lifecycles().take(quote_id, Step.CANCEL, event, judge_match)


def hand_over(quote_id: str, said: Handover) -> Stored:
    """What was built is handed over. Raises NoQuote, NotAllowed, Problem (412)."""
    told = ". ".join(each for each in (f"To {said.to}" if said.to else None, said.note) if each)
    event = Event(moment(), EventType.HANDED_OVER.value, said.by, told or None, key_name())
    return lifecycles().take(quote_id, Step.HAND_OVER, event, judge_match)


def end(quote_id: str, step: Step, said: Ending, judge: Judge = judge_match) -> Stored:
    """Decline or withdraw the quote. Raises NoQuote, NotAllowed, Problem (412)."""
    return lifecycles().take(quote_id, step, Event(moment(), TYPES[step].value, said.by, said.reason, key_name()), judge)


def record_built(quote_id: str, said: BuiltRecord) -> bytes:
    """Check finished assemblies against the tables the quote was made with, and store the record. Raises NoQuote, NotAllowed,
    RequestError.
    """
    found = quote(quote_id).quote()
    provenance = found.provenance
    try:
        articles = catalogues().of(Edition(provenance.catalogue, provenance.price_table)).catalogue.index.article
        tables = "kept"
    except NotKept:
        articles, tables = {}, "not_kept"
    judged = judge_built(found, said.assemblies, articles)
    verdict = "fail" if any(each["verdict"] == "fail" for each in judged) else "pass"
    record = {
        "by": said.by,
        "note": said.note,
        "verdict": verdict,
        "catalogue": provenance.catalogue,
        "tables": tables,
        "assemblies": judged,
    }
    return lifecycles().record_built(quote_id, record, said.by, key_name())


def built(quote_id: str) -> bytes:
    """Every record, oldest first, as JSON. Raises NoQuote."""
    quote(quote_id)
    return b'{"records":[' + b",".join(lifecycles().built(quote_id)) + b"]}"


def history(quote_id: str) -> dict[str, Any]:
    """Everything that has happened to the quote, and its status today, with the names of the shop's people. Raises NoQuote."""
    stored = quote(quote_id)
    steps = lifecycles().history(quote_id)
    names = staff().named({each.key.removeprefix(DESK) for each in steps if each.key and each.key.startswith(DESK)})
    happened = [{**each._asdict(), "person": names.get((each.key or "").removeprefix(DESK)) or None} for each in steps]
    return {"number": stored.number, "revision": stored.revision, "status": stored.status, "events": happened}

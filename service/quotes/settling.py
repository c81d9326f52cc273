"""Settling a quote's findings, and undoing settlements."""

from __future__ import annotations

from typing import Any

from jsonpointer import JsonPointerException, set_pointer
from msgspec.structs import replace

from pricing.document import rendered
from pricing.errors import RequestError
from pricing.model import Quote, Settlement, Undone
from pricing.settling import Answer, answered, open_asks, pieces_cut, settlements_of, with_settlements
from service.encoding import json
from service.http.bodies import decoded
from service.http.caller import key_name
from service.http.current import lifecycles, store
from service.http.preconditions import judge_match
from service.http.problems import Problem, fault, unknown
from service.lifecycle.actions import SettlementOrder, SettlementOrders, Undoing
from service.lifecycle.events import EventType
from service.lifecycle.statuses import Step
from service.quotes.actions import quote, revise
from service.storage import Change, Event, Stored, moment
from service.storage.ids import new_id

Json = dict[str, Any]
OF_QUOTE = ("id", "number", "revision", "status", "settlements", "current_readiness")
OF_FINDING = ("code", "pointer", "wording", "values", "message", "remedy")
CONFLICTS = frozenset({"already_settled"})
FIXED = frozenset({"", "tag", "quantity"})


def settle(quote_id: str, orders: SettlementOrders) -> Stored:
    """Store the settlements, all or none; new measurements make a revision. Returns the quote afterwards: the same issue, or the revision.
    Raises NoQuote, NotAllowed; Problem: 409, 412, 422.
    """
    by_words = [(place, each) for place, each in enumerate(orders.settlements) if not each.measured]
    measured = [(place, each) for place, each in enumerate(orders.settlements) if each.measured]
    with store().together():
        found = _by_words(quote_id, by_words) if by_words else quote(quote_id)
        return _measured(quote_id, found, measured, seen=not by_words) if measured else found


def _measured(quote_id: str, found: Stored, orders: list[tuple[int, SettlementOrder]], *, seen: bool) -> Stored:
    """Issue the revision with the new measurements. Who measured is recorded in the history of the issue that it replaces. `seen`: If-Match
    still applies to that issue, since nothing has been stored before.
    """
    issue = found.quote()
    _judge_answers(issue, orders)
    _, request = store().with_request(quote_id)
    patched = _patched(decoded(request), issue, orders)
    for _, each in orders:
        at = ", ".join(change.pointer for change in each.measured)
        event = Event(moment(), EventType.SETTLED.value, each.by, f"{each.code}, measured: {at}. {each.words}", key_name())
        lifecycles().take(quote_id, Step.SETTLE, event, judge_match if seen else lambda _: None)
    try:
        return revise(quote_id, json.write(patched), lambda _: None)
    except Problem as refused:
        words = "With these measurements the quote's request cannot be quoted; each fault is listed with its place in that request."
        raise Problem(refused.status, words, refused.faults) from None


def _by_words(quote_id: str, orders: list[tuple[int, SettlementOrder]]) -> Stored:
    key, at = key_name() or "", moment()
    named = "; ".join(f"{each.tag}: {each.code}" if each.tag else each.code for _, each in orders)
    by = ", ".join(dict.fromkeys(each.by for _, each in orders))[:120]

    def change(stored: Stored) -> Change:
        found = stored.quote()
        asked = _judge_answers(found, orders)
        new = tuple(
            Settlement(
                id=new_id(),
                tag=each.tag,
                code=each.code,
                pointer=each.pointer,
                wording=one.finding.wording,
                values=one.finding.values,
                words=each.words,
                by=each.by,
                key=key,
                settled_at=at,
            )
            for (_, each), one in zip(orders, asked, strict=True)
        )
        return Change(with_settlements(found, (*settlements_of(found), *new)))

    return lifecycles().take(quote_id, Step.SETTLE, Event(at, EventType.SETTLED.value, by, named, key or None), judge_match, change)


def _judge_answers(found: Quote, orders: list[tuple[int, SettlementOrder]]) -> list[Any]:
    """The findings that these orders settle. Raises Problem: 409 if any is already settled, 422 for orders that cannot be carried out."""
    try:
        return answered(found, [Answer(each.tag, each.code, each.pointer, each.words, bool(each.measured)) for _, each in orders])
    except RequestError as refused:
        faults = [fault(f"#/settlements/{orders[int(at.rpartition('/')[2])][0]}", code, words) for at, code, words in refused.faults]
        status = 409 if all(code in CONFLICTS for _, code, _ in refused.faults) else 422
        raise Problem(status, "Nothing was settled: each answer that cannot be given is listed.", faults) from None


def _patched(request: Any, issue: Quote, orders: list[tuple[int, SettlementOrder]]) -> Any:
    """The request with each measured value at its JSON Pointer. An answer about an assembly may change only that assembly, except for its tag
    and quantity: changing those would make a different quote. Raises Problem (422) for any other place.
    """
    for place, order in orders:
        own = _own(issue, order.tag)
        for change in order.measured:
            try:
                if not change.pointer.startswith(own) or change.pointer.removeprefix(own) in FIXED:
                    raise JsonPointerException(change.pointer)  # noqa: TRY301  # handled like a place that does not exist
                set_pointer(request, change.pointer, change.value)
            except (JsonPointerException, IndexError, TypeError):
                words = f"{change.pointer} is not a place in the request that this answer may change: send a JSON Pointer below {own}, such as {own}measurement/readings"
                raise Problem(422, "Nothing was settled.", [fault(f"#/settlements/{place}/measured", "unknown_place", words)]) from None
    return request


def _own(issue: Quote, tag: str | None) -> str:
    """The part of the request that an answer may change: its assembly, or the boat for an answer about the whole quote."""
    return "/boat/" if tag is None else f"/assemblies/{[each.tag for each in issue.assemblies].index(tag)}/"


def undo(quote_id: str, settlement_id: str, undoing: Undoing) -> Stored:
    """Undo a settlement, so that its finding is open again. Raises NoQuote, NotAllowed; Problem: 404, 409, 412."""
    key, at = key_name() or "", moment()

    def change(stored: Stored) -> Change:
        found = stored.quote()
        before = next((each for each in settlements_of(found) if each.id == settlement_id), None)
        if before is None:
            raise unknown(
                "settlement",
                "unknown_settlement",
                "This quote has no settlement with this id: `GET /v1/quotes/{id}/settlements` lists its settlements.",
            )
        if before.undone is not None:
            words = f"This settlement has already been undone, at {before.undone.at}."
            raise Problem(409, words, [fault("#", "already_undone", words)])
        if any(many for tag, many in pieces_cut(found).items() if before.tag in (None, tag)):
            words = "Wire was cut on the strength of this settlement: reverse the take of its plan first, or cancel the quote."
            raise Problem(409, words, [fault("#", "already_cut", words)])
        after = replace(before, undone=Undone(at, undoing.by, key, undoing.reason))
        return Change(with_settlements(found, tuple(after if each.id == settlement_id else each for each in settlements_of(found))))

    event = Event(at, EventType.UNSETTLED.value, undoing.by, undoing.reason, key or None)
    return lifecycles().take(quote_id, Step.SETTLE, event, judge_match, change)


def settlements(stored: Stored) -> bytes:
    """A quote's settlements and its open findings, as JSON."""
    found = stored.quote()
    document = rendered(found)
    still = [{"tag": each.tag, **{name: getattr(each.finding, name) for name in OF_FINDING}} for each in open_asks(found)]
    return json.write({**{name: document.get(name) for name in OF_QUOTE}, "open": still})

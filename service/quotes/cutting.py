"""What taking a cutting plan means for its quotes: their pieces count as cut. Each piece is cut once, only for accepted quotes, and only if its
assembly is ready to cut.

A note on the take may concern any boat in the plan, so it is stored with the stock movement and not in the quotes' histories.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any

from msgspec.structs import replace

from pricing.model import Quote
from pricing.settling import ENDED, may_be_built, pieces_cut, standing_of
from service.http.caller import key_name
from service.http.current import lifecycles, store
from service.http.problems import Problem, fault
from service.lifecycle.actions import MovementOrder
from service.lifecycle.events import EventType
from service.lifecycle.statuses import REASONS, NotAllowed, Status, Step
from service.quotes.actions import quote as quote_of
from service.storage import Change, Event, Stored, moment

Document = Mapping[str, Any]


def mark_cut(ids: list[str], plan: Document, order: MovementOrder) -> None:
    """Count a plan's pieces as cut in its quotes, which are in work from then on. Raises Problem (409) listing every reason against it."""
    pieces, faults = _pieces(plan), []
    for quote_id in ids:
        try:
            _mark_cut(quote_id, pieces, order)
        except Problem as refused:
            faults += refused.faults
        except NotAllowed:
            faults += [_not_accepted(quote_id)]
    if faults:
        raise Problem(409, "Nothing was moved: this plan cannot be taken as it is. Make a plan of what may be cut.", faults)


def mark_not_cut(ids: list[str], plan: Document, order: MovementOrder) -> None:
    """Count a plan's pieces as not cut in its quotes; a quote without any cut piece returns to `accepted`. Raises Problem (409).

    Takes made by releases that did not count pieces are reversed whatever the status of their quotes.
    """
    pieces = _pieces(plan)
    for quote_id in (each for each in ids if _has_cut_pieces(each, pieces)):
        event = Event(moment(), EventType.CUT_UNDONE.value, order.by, key=key_name())

        def change(stored: Stored, event: Event = event) -> Change:
            quote = stored.quote()
            own = pieces.get(stored.number, Counter())
            cut = {tag: many - own.get(tag, 0) for tag, many in pieces_cut(quote).items() if many > own.get(tag, 0)}
            back = not cut and stored.status == Status.IN_WORK
            return Change(replace(standing_of(quote), pieces_cut=cut), ((Step.RETURN, event),) if back else ())

        try:
            lifecycles().take(quote_id, Step.UNCUT, None, lambda _: None, change)
        except NotAllowed as error:
            words = (
                f"{_named(quote_id)} is {error.status}: wire that was built into assemblies cannot go back on the shelf. Nothing was moved."
            )
            raise Problem(409, words, [fault("#", "already_built", words)]) from None


def _has_cut_pieces(quote_id: str, pieces: Mapping[str, Counter[str]]) -> bool:
    """Whether any of a plan's pieces for a quote are counted as cut."""
    found = store().get(quote_id)
    return found is not None and not pieces_cut(found.quote()).keys().isdisjoint(pieces.get(found.number, ()))


def _mark_cut(quote_id: str, pieces: Mapping[str, Counter[str]], order: MovementOrder) -> None:
    def change(stored: Stored) -> Change:
        quote = stored.quote()
        own = pieces.get(stored.number, Counter())
        faults = list(_refused(stored, quote, own))
        if faults:
            raise Problem(409, "This quote cannot be cut.", faults)
        cut = Counter(pieces_cut(quote)) + own
        event = Event(moment(), EventType.IN_WORK.value, order.by, key=key_name())
        return Change(replace(standing_of(quote), pieces_cut=dict(cut)), events=() if stored.status == Status.IN_WORK else (event,))

    lifecycles().take(quote_id, Step.CUT, None, lambda _: None, change)


def _refused(stored: Stored, quote: Quote, own: Mapping[str, int]) -> Iterator[dict[str, object]]:
    done, known = pieces_cut(quote), {each.tag: each for each in quote.assemblies}
    for tag, many in own.items():
        assembly = known.get(tag)
        if assembly is None or not may_be_built(quote, assembly):
            words = f"{stored.number}, {tag}: not ready to cut; settle its open findings first."
            yield fault("#", "not_ready", words)
        elif done.get(tag, 0) + many > assembly.quantity:
            words = f"{stored.number}, {tag}: {done.get(tag, 0)} of {assembly.quantity} have already been cut, and this plan cuts {many}."
            yield fault("#", "already_cut", words)


def _not_accepted(quote_id: str) -> dict[str, object]:
    status = quote_of(quote_id).status
    if status in ENDED:
        return fault("#", "quote_not_open", f"{_named(quote_id)} is {status}. {REASONS[Status(status)]}.")
    return fault("#", "not_accepted", f"{_named(quote_id)} is {status}: wire is only taken for quotes that the customer has accepted.")


def _named(quote_id: str) -> str:
    found = store().get(quote_id)
    return quote_id if found is None else f"{found.number}, revision {found.revision},"


def _pieces(plan: Document) -> dict[str, Counter[str]]:
    """The number of pieces that a plan cuts, by quote number and tag."""
    pieces: dict[str, Counter[str]] = {}
    for cut in (cut for wire in plan["wires"] for use in wire["uses"] for cut in use["cuts"]):
        if cut["quote"]:
            pieces.setdefault(cut["quote"], Counter())[cut["label"]] += 1
    return pieces

"""What taking a plan means for its quotes: each piece is cut once, of an accepted quote, and only where the gate is open.

A note on the take may be about any boat of the plan: it stays with the movement, and is in no quote's history.
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


def cut_of(ids: list[str], plan: Document, said: MovementOrder) -> None:
    """Count what a plan cuts as cut of its quotes, which are in work from then on. Raises Problem (409) with every reason against it."""
    pieces, faults = _pieces(plan), []
    for quote_id in ids:
        try:
            _cut(quote_id, pieces, said)
        except Problem as refused:
            faults += refused.faults
        except NotAllowed:
            faults += [_not_accepted(quote_id)]
    if faults:
        raise Problem(409, "Nothing was moved: this plan cannot be taken as it is. Make a plan of what may be cut.", faults)


def uncut_of(ids: list[str], plan: Document, said: MovementOrder) -> None:
    """The reverse; a quote of which nothing is cut any more is accepted again. Raises Problem (409).

    A take of an earlier release, which counted no pieces, is reversed whatever became of its quotes.
    """
    pieces = _pieces(plan)
    for quote_id in (each for each in ids if _counts(each, pieces)):
        event = Event(moment(), EventType.CUT_UNDONE.value, said.by, key=key_name())

        def change(stored: Stored, event: Event = event) -> Change:
            quote = stored.quote()
            own = pieces.get(stored.number, Counter())
            cut = {tag: many - own.get(tag, 0) for tag, many in pieces_cut(quote).items() if many > own.get(tag, 0)}
            back = not cut and stored.status == Status.IN_WORK
            return Change(replace(standing_of(quote), pieces_cut=cut), ((Step.RETURN, event),) if back else ())

        try:
            lifecycles().take(quote_id, Step.UNCUT, None, lambda _: None, change)
        except NotAllowed as error:
            words = f"{_named(quote_id)} is {error.status}: wire that was built into assemblies cannot go back on the shelf. Nothing was moved."
            raise Problem(409, words, [fault("#", "already_built", words)]) from None


def _counts(quote_id: str, pieces: Mapping[str, Counter[str]]) -> bool:
    """Whether pieces that a plan cuts of a quote are counted as cut."""
    found = store().get(quote_id)
    return found is not None and not pieces_cut(found.quote()).keys().isdisjoint(pieces.get(found.number, ()))


def _cut(quote_id: str, pieces: Mapping[str, Counter[str]], said: MovementOrder) -> None:
    def change(stored: Stored) -> Change:
        quote = stored.quote()
        own = pieces.get(stored.number, Counter())
        faults = list(_refused(stored, quote, own))
        if faults:
            raise Problem(409, "This quote cannot be cut.", faults)
        cut = Counter(pieces_cut(quote)) + own
        event = Event(moment(), EventType.IN_WORK.value, said.by, key=key_name())
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
    """How many pieces of each tag a plan cuts, by the quotes' numbers."""
    found: dict[str, Counter[str]] = {}
    for cut in (cut for wire in plan["wires"] for use in wire["uses"] for cut in use["cuts"]):
        if cut["quote"]:
            found.setdefault(cut["quote"], Counter())[cut["label"]] += 1
    return found

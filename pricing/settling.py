"""Settling the findings that ask something, and the single gate between a quote and cutting wire.

A finding of severity `ask` is settled by an answer in words, under a name. The answer holds only for that finding with the same values. An
assembly may be cut once all its asks are settled. A stop cannot be settled in words: it takes a new request, either a revision or the
missing value, from which a revision is made.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from msgspec import UnsetType
from msgspec.structs import replace

from pricing.errors import RequestError
from pricing.model import Length, Question, Quote, QuotedAssembly, QuotedFinding, Settlement, Standing
from pricing.model.assembly import Readiness

#: Statuses in which a quote is no longer built.
ENDED = frozenset({"declined", "withdrawn", "superseded", "cancelled", "expired"})


class Answer(NamedTuple):
    """An answer to one finding, by code and pointer; `tag` is None for a finding on the whole quote.

    `measured`: it comes with measured values, from which a new request is made.
    """

    tag: str | None
    code: str
    pointer: str
    words: str
    measured: bool = False


class Ask(NamedTuple):
    """A finding of severity `ask`, with the tag of its assembly (None: the whole quote)."""

    tag: str | None
    finding: QuotedFinding


def asks(quote: Quote) -> Iterator[Ask]:
    """Every ask of the quote, settled or not."""
    for assembly in quote.assemblies:
        yield from (Ask(assembly.tag, each) for each in assembly.findings if each.severity == "ask")
    yield from (Ask(None, each) for each in quote.findings if each.severity == "ask")


def is_settled(ask: Ask, settlements: Iterable[Settlement]) -> bool:
    """Whether one of the settlements answers this ask with the same values, and has not been undone."""
    return any(each.undone is None and _answers(each, ask) for each in settlements)


def open_asks(quote: Quote, settlements: Iterable[Settlement] | None = None) -> list[Ask]:
    """The asks of a stored quote that are not settled; `settlements` are used in place of its own."""
    given = tuple(settlements_of(quote) if settlements is None else settlements)
    return [each for each in asks(quote) if not is_settled(each, given)]


def settlements_of(quote: Quote) -> tuple[Settlement, ...]:
    """The settlements of a quote, including undone ones."""
    return () if isinstance(quote.settlements, UnsetType) else quote.settlements


def questions_of(quote: Quote) -> tuple[Question, ...]:
    """The customer's questions about a quote, oldest first."""
    return () if isinstance(quote.questions, UnsetType) else quote.questions


def standing_of(quote: Quote) -> Standing:
    """The quote's present standing."""
    return Standing(
        settlements=settlements_of(quote),
        current_readiness=_readiness(quote, settlements_of(quote)),
        pieces_cut=dict(pieces_cut(quote)),
        accepted=None if isinstance(quote.accepted, UnsetType) else quote.accepted,
        questions=questions_of(quote),
    )


def with_settlements(quote: Quote, settlements: tuple[Settlement, ...]) -> Standing:
    """The quote's standing once these are its settlements."""
    return replace(standing_of(quote), settlements=settlements, current_readiness=_readiness(quote, settlements))


def carried(before: Quote, after: Quote) -> Standing:
    """The standing of a revision when it is issued: settlements carry over to findings with the same values."""
    known = {(each.tag, each.finding.code, _place(each.tag, each.finding.pointer)): each for each in asks(after)}
    kept = []
    for each in settlements_of(before):
        ask = known.get((each.tag, each.code, _place(each.tag, each.pointer)))
        if each.undone is None and ask is not None and (ask.finding.wording, ask.finding.values) == (each.wording, each.values):
            kept.append(replace(each, pointer=ask.finding.pointer, carried_from=each.carried_from or str(before.id)))
    return with_settlements(after, tuple(kept))


def answered(quote: Quote, answers: Iterable[Answer]) -> list[Ask]:
    """The findings that these answers belong to, in the same order.

    Raises RequestError with every answer that is impossible: to an unknown finding, to a note, to a stop in words alone, or given twice.
    """
    settlements, faults, seen = [], [], set[tuple[str | None, str, str]]()
    tags = ", ".join(each.tag for each in quote.assemblies)
    for place, each in enumerate(answers):
        at = f"/settlements/{place}"
        ask = _finding(quote, each)
        if isinstance(ask, str):
            faults.append((at, ask, _REFUSED[ask].format(code=each.code, pointer=each.pointer, tag=each.tag, tags=tags)))
            continue
        if each[:3] in seen:
            faults.append((at, "answered_twice", "this request answers the same finding twice: say it once"))
        elif is_settled(ask, settlements_of(quote)):
            faults.append((at, "already_settled", "this finding is settled already: undo that first if it was wrong"))
        seen.add(each[:3])
        settlements.append(ask)
    if faults:
        raise RequestError(faults)
    return settlements


_REFUSED = {
    "unknown_tag": "the quote has no assembly {tag!r}; it has {tags}",
    "unknown_finding": "there is no finding {code} at {pointer}: read the quote's findings again, and send code and pointer as they stand there",
    "not_settled_by_words": "{code} is a stop: words do not settle it; give what it lacks as `measured`, or revise the quote with a request that can be built",
    "nothing_asked": "{code} is a note and asks nothing, so there is nothing to settle",
}


def _finding(quote: Quote, answer: Answer) -> Ask | str:
    if answer.tag is None:
        findings = quote.findings
    else:
        assembly = next((each for each in quote.assemblies if each.tag == answer.tag), None)
        if assembly is None:
            return "unknown_tag"
        findings = assembly.findings
    match = next((each for each in findings if (each.code, each.pointer) == (answer.code, answer.pointer)), None)
    if match is None:
        return "unknown_finding"
    if match.severity == "ask" or (match.severity == "stop" and answer.measured):
        return Ask(answer.tag, match)
    return {"stop": "not_settled_by_words", "note": "nothing_asked"}[match.severity]


def _answers(settlement: Settlement, ask: Ask) -> bool:
    finding = ask.finding
    return (settlement.tag, settlement.code, settlement.pointer, settlement.wording, settlement.values) == (
        ask.tag, finding.code, finding.pointer, finding.wording, finding.values,
    )  # fmt: skip


def _place(tag: str | None, pointer: str) -> str:
    """A pointer without its assembly's index, which may differ between revisions."""
    return pointer if tag is None else "/".join(pointer.split("/")[3:])


def _readiness(quote: Quote, settlements: tuple[Settlement, ...]) -> dict[str, Readiness]:
    still = {each.tag for each in open_asks(quote, settlements)}
    return {each.tag: each.readiness if each.readiness != "confirm" or each.tag in still else "ready_to_cut" for each in quote.assemblies}


def current_readiness(quote: Quote, assembly: QuotedAssembly) -> Readiness:
    """The assembly's present readiness; as issued if the quote has no standing yet."""
    now: Mapping[str, Readiness] = {} if isinstance(quote.current_readiness, UnsetType) else quote.current_readiness
    return now.get(assembly.tag, assembly.readiness)


def may_be_built(quote: Quote, assembly: QuotedAssembly) -> bool:
    """The gate to cut figures: bench papers, drawings, plans, labels, and taking wire from stock.

    It is open for an assembly that is ready to cut, or whose asks are all settled, in a quote that has not ended.
    """
    return quote.status not in ENDED and current_readiness(quote, assembly) == "ready_to_cut"


def cut_figure(quote: Quote, assembly: QuotedAssembly) -> Length | None:
    """The cut length for papers; None while the gate is shut."""
    return assembly.cut_length if may_be_built(quote, assembly) else None


def pieces_cut(quote: Quote) -> Mapping[str, int]:
    """Pieces already cut, by assembly tag."""
    return {} if isinstance(quote.pieces_cut, UnsetType) else quote.pieces_cut


def as_it_stands(quote: Quote) -> Quote:
    """The quote as papers may show it: present readiness, settled asks as notes, and no cut figures while the gate is shut."""
    return replace(quote, assemblies=tuple([_as_it_stands(quote, each) for each in quote.assemblies]))


def _as_it_stands(quote: Quote, assembly: QuotedAssembly) -> QuotedAssembly:
    given = settlements_of(quote)
    findings = tuple(
        [
            replace(each, severity="note") if each.severity == "ask" and is_settled(Ask(assembly.tag, each), given) else each
            for each in assembly.findings
        ]
    )
    shown = replace(assembly, readiness=current_readiness(quote, assembly), findings=findings)
    if may_be_built(quote, assembly):
        return shown
    screw = assembly.turnbuckle
    return replace(
        shown,
        cut_length=None,
        derivation=(),
        stops=(),
        turnbuckle=None if screw is None else replace(screw, proposal=None),
    )


def may_be_accepted(quote: Quote) -> bool:
    """The gate to acceptance: no assembly is on hold."""
    return all(each.readiness != "hold" for each in quote.assemblies)

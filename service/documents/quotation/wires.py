"""A quotation's assemblies one by one, as their owner recognises each wire."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from pricing.model import Quote, QuotedAssembly
from service.documents.assembly_drawing import svg as assembly_svg
from service.documents.quotation.texts import Fact, Text, named
from service.documents.rig import words
from service.documents.speech import FindingText, Speech

READINESS = {"ready_to_cut": "ready to cut", "confirm": "to be confirmed first", "hold": "on hold, not in the total"}


class PartOf(Struct, frozen=True):
    """A part of an assembly, and how many of it one piece takes."""

    quantity: int
    name: Text


class Wire(Struct, frozen=True):
    """One assembly as its owner recognises it. `kept`: parts of the owner's that are used again. `for_all`: of how many the price is, if of several."""

    tag: str
    role: str
    quantity: int
    wire: Text
    readiness: str
    facts: tuple[Fact, ...]
    price: str
    for_all: str
    parts: tuple[PartOf, ...]
    kept: tuple[PartOf, ...]
    notes: tuple[FindingText, ...]
    drawing: str | None
    alternative: str


def wire(quote: Quote, each: QuotedAssembly, speech: Speech) -> Wire:
    """One of the quote's assemblies."""
    drawn = None if each.readiness == "hold" else assembly_svg.likeness(quote, each, speech)
    readiness = speech.say(READINESS[each.readiness])
    return Wire(
        tag=each.tag,
        role=words.role(each, speech),
        quantity=each.quantity,
        wire=named(each.wire.name, speech) if each.wire else Text(speech.say("The wire is not known"), None),
        readiness=readiness[:1].upper() + readiness[1:],
        facts=tuple(_lengths(each, speech)),
        price=speech.money(each.price.net, quote.currency) if each.price else "",
        for_all=speech.say("for all %(pieces)s", pieces=each.quantity) if each.quantity > 1 else "",
        parts=tuple(_parts(each, speech, kept=False)),
        kept=tuple(_parts(each, speech, kept=True)),
        notes=tuple(speech.owner_findings(one for one in each.findings if one.severity == "note")),
        drawing=None if drawn is None else drawn.decode(),
        alternative=speech.say("Drawing of assembly %(tag)s. Its lengths stand beside it.", tag=each.tag),
    )


def _parts(each: QuotedAssembly, speech: Speech, *, kept: bool) -> Iterator[PartOf]:
    """New parts or the owner's own; equal ones of both ends together."""
    counted: dict[str, int] = {}
    for part in each.parts:
        if part.kept == kept:
            counted[part.name] = counted.get(part.name, 0) + part.quantity
    return (PartOf(count, named(name, speech)) for name, count in counted.items())


def _lengths(each: QuotedAssembly, speech: Speech) -> Iterator[Fact]:
    """The lengths that are known, and how well."""
    if each.measured_length is not None:
        yield Fact(speech.say("Measured"), *speech.lengths(each.measured_length))
    if each.readiness == "hold":
        return
    if each.target_length is not None:
        yield Fact(speech.say("Finished length"), *speech.lengths(each.target_length))
    built = f"± {speech.lengths(each.tolerance)[0]}"
    if each.uncertainty:
        known = f"± {speech.lengths(each.uncertainty)[0]}"
        yield Fact(speech.say("Known to within"), speech.say("%(known)s, built to within %(built)s", known=known, built=built))
    else:
        yield Fact(speech.say("Built to within"), built)

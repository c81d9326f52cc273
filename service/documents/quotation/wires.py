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
    """One assembly as its owner recognises it. `kept`: parts of the owner's that are used again. `for_all`: how many pieces the price is for, if several."""

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


def wire(quote: Quote, assembly: QuotedAssembly, speech: Speech) -> Wire:
    """What the quotation says about one of the quote's assemblies."""
    drawn = None if assembly.readiness == "hold" else assembly_svg.likeness(quote, assembly, speech)
    readiness = speech.say(READINESS[assembly.readiness])
    return Wire(
        tag=assembly.tag,
        role=words.role(assembly, speech),
        quantity=assembly.quantity,
        wire=named(assembly.wire.name, speech) if assembly.wire else Text(speech.say("The wire is not known"), None),
        readiness=readiness[:1].upper() + readiness[1:],
        facts=tuple(_lengths(assembly, speech)),
        price=speech.money(assembly.price.net, quote.currency) if assembly.price else "",
        for_all=speech.say("for all %(pieces)s", pieces=assembly.quantity) if assembly.quantity > 1 else "",
        parts=tuple(_parts(assembly, speech, kept=False)),
        kept=tuple(_parts(assembly, speech, kept=True)),
        notes=tuple(speech.owner_findings(one for one in assembly.findings if one.severity == "note")),
        drawing=None if drawn is None else drawn.decode(),
        alternative=speech.say("Drawing of assembly %(tag)s. Its lengths stand beside it.", tag=assembly.tag),
    )


def _parts(assembly: QuotedAssembly, speech: Speech, *, kept: bool) -> Iterator[PartOf]:
    """New parts or the owner's own; equal ones of both ends together."""
    counted: dict[str, int] = {}
    for part in assembly.parts:
        if part.kept == kept:
            counted[part.name] = counted.get(part.name, 0) + part.quantity
    return (PartOf(count, named(name, speech)) for name, count in counted.items())


def _lengths(assembly: QuotedAssembly, speech: Speech) -> Iterator[Fact]:
    """The lengths that are known, and how well."""
    if assembly.measured_length is not None:
        yield Fact(speech.say("Measured"), *speech.lengths(assembly.measured_length))
    if assembly.readiness == "hold":
        return
    if assembly.target_length is not None:
        yield Fact(speech.say("Finished length"), *speech.lengths(assembly.target_length))
    built = f"± {speech.lengths(assembly.tolerance)[0]}"
    if assembly.uncertainty:
        known = f"± {speech.lengths(assembly.uncertainty)[0]}"
        yield Fact(speech.say("Known to within"), speech.say("%(known)s, built to within %(built)s", known=known, built=built))
    else:
        yield Fact(speech.say("Built to within"), built)

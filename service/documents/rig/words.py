"""The texts of rig drawings, in the language of their speech."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

import msgspec
from msgspec import UNSET

from pricing.model import Length, Quote, QuotedAssembly, QuotedFinding
from pricing.units import imperial, metric
from service.documents.speech import Speech

ENDINGS = {
    "declined": "declined",
    "withdrawn": "withdrawn",
    "cancelled": "cancelled",
    "superseded": "superseded by a later revision",
    "expired": "expired",
}
READINESS = {
    "ready_to_cut": ("READY TO CUT", "nothing is open"),
    "confirm": ("CONFIRM FIRST", "a finding asks something before it is cut"),
    "hold": ("ON HOLD", "cannot be cut from these numbers and is not priced"),
}
UNNAMED = "a boat without a name"


def role(assembly: QuotedAssembly, speech: Speech) -> str:
    """`Cap shroud, port`, with the mast unless it is the main one."""
    numbered = f" {assembly.number}" if assembly.number else ""
    name = speech.phrase(f"role.{assembly.role}")
    words = [name[:1].upper() + name[1:] + numbered]
    if assembly.side:
        words.append(speech.phrase(f"side.{assembly.side}"))
    if assembly.mast != "main":
        words.append(speech.phrase(f"mast.{assembly.mast}", "named"))
    return ", ".join(words)


def readiness(assembly: QuotedAssembly, speech: Speech) -> str:
    """The readiness in capitals."""
    return speech.say(READINESS[assembly.readiness][0])


def figure(mm: Decimal, speech: Speech, units: str | None = None) -> str:
    """A length in the quote's display units unless others are named."""
    return speech.local(imperial(mm) if (units or speech.units) == "imperial" else metric(mm))


def other_unit(length: Length, speech: Speech) -> str:
    """The same length in the units that do not come first."""
    return figure(length.mm, speech, "metric" if speech.units == "imperial" else "imperial")


def boat_of(quote: Quote, speech: Speech) -> str:
    """The boat's name, or words for a boat without one."""
    return quote.boat.name or speech.say(UNNAMED)


def identity(quote: Quote, speech: Speech) -> str:
    """Number and date; a preview has no number."""
    day = quote.issued_on if speech.language == "en" else speech.day(quote.issued_on)
    if quote.number is UNSET:
        return speech.say("preview, %(day)s", day=day)
    said = speech.say("quote %(number)s, revision %(revision)s, %(day)s", number=quote.number, revision=quote.revision, day=day)
    return f"{said}, {speech.say(ENDINGS[quote.status])}" if quote.status in ENDINGS else said


def written(noted: Quote | QuotedAssembly, speech: Speech) -> str:
    """The customer's note on an assembly or a whole quote, on one line; empty if there is none."""
    note = noted.note
    return speech.say("The customer wrote: %(note)s", note=" ".join(note.split())) if note else ""


def alike(assembly: QuotedAssembly, speech: Speech) -> str:
    """How many identical ones are made."""
    return speech.say("%(count)s alike", count=assembly.quantity) if assembly.quantity != 1 else ""


def findings(assembly: QuotedAssembly, *severities: str) -> list[QuotedFinding]:
    """The findings of these severities, in order."""
    return [each for severity in severities for each in assembly.findings if each.severity == severity]


def for_the_shop(assembly: QuotedAssembly, speech: Speech, *severities: str) -> Iterator[QuotedFinding]:
    """The same findings in the shop's words, with lengths in both units, those of the quote first.

    Those of earlier releases keep the words they were issued in.
    """
    for each in findings(assembly, *severities):
        said = speech.retold(each, "shop")
        yield each if said is None else msgspec.structs.replace(each, message=said.message, remedy=said.remedy)

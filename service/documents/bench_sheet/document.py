"""The bench sheet: what is cut, fitted, gauged, set and signed off, one assembly per page, from a stored quote. Plain values, ready
for JSON.

Every figure comes from the quote or from a row of the catalogue the quote was made with; limits and tolerances are rounded
inward. An assembly that is not `ready_to_cut`, or whose quote has ended, has no figures at all, only the reasons why it must not be
cut.
"""

from __future__ import annotations

from collections.abc import Iterable

from msgspec.structs import replace

from pricing.model import PlacedStop, Quote, QuotedAssembly, Settlement
from pricing.rows import OPERATIONS
from pricing.settling import cut_figure, may_be_built, settlements_of
from service.documents.bench_sheet import figures
from service.documents.bench_sheet.cuts import cutting_list
from service.documents.bench_sheet.ends import end
from service.documents.bench_sheet.figures import Json
from service.documents.bench_sheet.known import Known
from service.documents.bench_sheet.proof import proof
from service.documents.bench_sheet.screw import screw
from service.documents.quoted import head
from service.documents.rig import words
from service.documents.rig.ends import laid_out
from service.documents.speech import Speech, speech_in

STATUSES = {
    "issued": "Issued, not accepted: cut only on the shop's word.",
    "accepted": "Accepted by the customer.",
    "in_work": "Accepted by the customer; wire was cut for it.",
    "built": "Every piece of this quote has a record that passed.",
    "handed_over": "Built and handed over.",
}
ENDED = {
    "declined": "The customer declined this quote.",
    "withdrawn": "The shop withdrew this quote.",
    "cancelled": "The shop cancelled this quote after it was accepted.",
    "superseded": "A later revision took this quote's place: build from that one.",
    "expired": "This quote has lapsed: issue a revision before anything is cut.",
}
SIGNED = ("cut", "swaged", "gauged", "length")
NO_MEMBERS = "This quote was issued before quotes said where each fitting lies, and the tables it was made with are not kept here."
NO_FINISHED = (
    "No finished length: an end is left long, or the turnbuckle's setting is not known. Check the cut length and the terminals instead."
)
READING = (
    "Insertion: mark the wire at this distance from its cut end and push it to the bottom of the bore; the mark comes flush with the mouth.",
    "Shank: its diameter by caliper. Thicker than the most after swaging: not pressed down far enough. Thinner than the wire in it: crushed.",
    "Press over: the length of shank to swage, before swaging. Grows by: how far the mouth moves from the bearing; the cut length allows for it.",
    "Wire for the eye: mark it from the cut end; once pressed, the face of the first sleeve toward the loop lies at the mark.",
    "Sleeves: start with the wire's end beyond the sleeve, which lengthens; press its centre, the thimble's side, the far side (AC 43.13-1B 7-148).",
    "Proof load: a rule for swaged terminals of aircraft cable (MIL-DTL-781J 4.6.1); the fitting maker's own instruction comes first.",
    "After the pull: reject what stays longer by more than 0.001 of its length, or whose entry mark moved.",
    "Thread exposed: by the rule, from the body's face to where the thread ends. Turns: outward from where that end lies at the face, by halves.",
)
CAUTIONS = (
    "Measure each spool and offcut before its first cut, and each piece once more against its own cut length.",
    "Where a piece is left out, what stands after it in the list is cut earlier on the spool: go by lengths, not by marks on the spool.",
    "Lengths in inches are rounded to 1/32 in, the limits of the finished length to 1/64 in; the millimetres are closer.",
)


def bench_sheet(quote: Quote, known: Known, language: str = "en") -> Json:
    """The bench sheet of a stored quote. Raises ValueError for a preview."""
    speech, issue = speech_in(language, quote.display_units), head(quote)
    ended = ENDED.get(issue.status)
    ready = {each.tag: figure for each in quote.assemblies if (figure := cut_figure(quote, each)) is not None}
    return {
        "quote": issue._asdict(),
        "says": speech.say(ended or STATUSES[issue.status]),
        "may_be_built": ended is None,
        "boat": quote.boat.name,
        "shop": quote.seller.name,
        "issued_on": quote.issued_on,
        "leads_with": quote.display_units,
        "note": quote.note,
        "assemblies": [_assembly(quote, each, known, speech) for each in quote.assemblies],
        "cutting_list": cutting_list(known.plan, known.tags, ready, speech),
        "reading": [speech.say(each) for each in READING],
        "cautions": [*(speech.say(each) for each in CAUTIONS), *speech.cautions(quote.cautions)],
        "catalogue": {"version": quote.provenance.catalogue, "kept": known.kept},
    }


def may_be_cut(quote: Quote, assembly: QuotedAssembly) -> bool:
    """Whether the sheet has figures for the assembly: it may be built, and the quote says where each fitting lies."""
    return may_be_built(quote, assembly) and laid_out(assembly)


def _assembly(quote: Quote, assembly: QuotedAssembly, known: Known, speech: Speech) -> Json:
    cut, wire = may_be_cut(quote, assembly), assembly.wire
    settled = [each for each in settlements_of(quote) if each.undone is None and each.tag in (None, assembly.tag)]
    return {
        "tag": assembly.tag,
        "name": words.role(assembly, speech),
        "quantity": assembly.quantity,
        "readiness": assembly.readiness,
        "cut": cut,
        "do_not_cut": [] if cut else _reasons(quote, assembly, speech),
        "wire": None if wire is None else {"sku": wire.sku, "name": speech.named(wire.name)},
        "tag_text": tag_text(quote, assembly, speech),
        "note": assembly.note,
        "notes": _findings(without(assembly, settled), speech, "note"),
        "settled": [_settled(each, assembly, speech) for each in settled],
        "build": _build(assembly, known, speech) if cut else None,
    }


def without(assembly: QuotedAssembly, settled: Iterable[Settlement]) -> QuotedAssembly:
    """The assembly without the findings that were settled."""
    gone = {(each.code, each.pointer) for each in settled}
    return replace(assembly, findings=tuple([each for each in assembly.findings if (each.code, each.pointer) not in gone]))


def _settled(settlement: Settlement, assembly: QuotedAssembly, speech: Speech) -> Json:
    """What was checked by hand: what was asked, the answer, who gave it, and on which day."""
    asked = [
        each for each in words.for_the_shop(assembly, speech, "note") if (each.code, each.pointer) == (settlement.code, settlement.pointer)
    ]
    return {
        "code": settlement.code,
        "asked": asked[0].message if asked else None,
        "words": settlement.words,
        "by": settlement.by,
        "on": speech.day(settlement.settled_at[:10]),
    }


def _reasons(quote: Quote, assembly: QuotedAssembly, speech: Speech) -> list[Json]:
    found, ended = [], ENDED.get(head(quote).status)
    if ended is not None:
        found.append({"code": "quote-ended", "message": speech.say(ended), "remedy": speech.say("Ask the shop which quote counts.")})
    if assembly.readiness == "ready_to_cut" and not laid_out(assembly):
        remedy = speech.say("Quote it again, and build from that quote.")
        found.append({"code": "members-not-told", "message": speech.say(NO_MEMBERS), "remedy": remedy})
    return found + _findings(assembly, speech, "stop", "ask")


def _findings(assembly: QuotedAssembly, speech: Speech, *severities: str) -> list[Json]:
    found = words.for_the_shop(assembly, speech, *severities)
    return [{"code": each.code, "message": each.message, "remedy": each.remedy} for each in found]


def tag_text(quote: Quote, assembly: QuotedAssembly, speech: Speech) -> list[str]:
    """The text of the assembly's own tag, line by line."""
    issue = speech.say("%(number)s rev %(revision)s", number=quote.number, revision=quote.revision)
    lines = [assembly.tag, quote.boat.name or "", issue]
    return [line for line in lines if line]


def _build(assembly: QuotedAssembly, known: Known, speech: Speech) -> Json:
    wire, cut_length = assembly.wire, assembly.cut_length
    if wire is None or cut_length is None:
        raise ValueError(f"{assembly.tag} is ready to cut, but has no wire or no cut length")
    return {
        "cut_length": figures.quoted(cut_length, speech),
        "finished": _finished(assembly, speech),
        "ends": [end(assembly, wire, name, known, speech) for name in ("upper", "lower")],
        "turnbuckle": screw(assembly, known, speech),
        "stops": [_stop(assembly, each, speech) for each in assembly.stops],
        "work": [
            {"sku": each.sku, "name": speech.named(each.name), "quantity": each.quantity}
            for each in assembly.work
            if each.operation not in OPERATIONS
        ],
        "proof": proof(assembly, wire, speech),
        "sign": [{"piece": piece, "boxes": list(SIGNED)} for piece in range(1, assembly.quantity + 1)],
    }


def _finished(assembly: QuotedAssembly, speech: Speech) -> Json:
    """The length between bearings at the build setting, with the minimum and maximum that the tolerance allows."""
    tolerance, target = figures.at_most(assembly.tolerance.mm, speech), assembly.target_length
    if target is None:
        return {"length": None, "minimum": None, "maximum": None, "tolerance": tolerance, "says": speech.say(NO_FINISHED)}
    least, most = figures.between(target.mm, assembly.tolerance.mm, speech)
    says = speech.say("Bearing to bearing, the turnbuckle at the setting below." if assembly.turnbuckle else "Bearing to bearing.")
    return {"length": figures.quoted(target, speech), "minimum": least, "maximum": most, "tolerance": tolerance, "says": says}


def _stop(assembly: QuotedAssembly, stop: PlacedStop, speech: Speech) -> Json:
    name = next((part.name for part in assembly.parts if part.sku == stop.sku), stop.sku)
    return {
        "stop": stop.stop,
        "sku": stop.sku,
        "name": speech.named(name),
        "centre_from_upper_cut_end": figures.quoted(stop.centre_from_upper_cut_end, speech),
        "centre_from_upper_bearing": figures.quoted(stop.centre_from_upper_bearing, speech),
    }

"""The bench sheet: what is cut, fitted, gauged, set and signed, an assembly a page, from a stored quote's document. Plain values, ready for JSON.

Every figure is the document's own or a row's of the catalogue that the quote was made with; limits and tolerances are rounded inward. An
assembly that is not `ready_to_cut`, or whose quote has ended, has no figures at all but the reasons why it must not be cut.
"""

from __future__ import annotations

from decimal import Decimal

from service.documents.benchsheet import figures
from service.documents.benchsheet.cuts import cutting_list
from service.documents.benchsheet.ends import end
from service.documents.benchsheet.known import Known
from service.documents.benchsheet.proof import proof
from service.documents.benchsheet.screw import screw
from service.documents.rig import words
from service.documents.rig.terms import Document

STATUSES = {
    "issued": "Issued, not accepted: cut only on the shop's word.",
    "accepted": "Accepted by the customer.",
}
ENDED = {
    "declined": "The customer declined this quote.",
    "withdrawn": "The shop withdrew this quote.",
    "superseded": "A later revision took this quote's place: build from that one.",
    "expired": "This quote has lapsed: issue a revision before anything is cut.",
}
SIGNED = ("cut", "swaged", "gauged", "length")
NO_FINISHED = (
    "No finished length: an end is left long, or the turnbuckle's setting is not known. Check the cut length and the terminals instead."
)
READING = (
    "Insertion: mark the wire at this distance from its cut end and push it to the bottom of the bore; the mark comes flush with the mouth.",
    "Shank: its diameter by caliper. Thicker than the most after swaging: not pressed down far enough. Thinner than the wire in it: crushed.",
    "Press over: the length of shank to swage, before swaging. Grows by: how far the mouth moves from the bearing; the cut length allows for it.",
    "Wire for the eye: mark it from the cut end; once pressed, the face of the first sleeve toward the thimble lies at the mark.",
    "Sleeves: start with the wire's end beyond the sleeve, which lengthens; press its centre, the thimble's side, the far side (AC 43.13-1B 7-148).",
    "Proof load: a rule for swaged terminals of aircraft cable (MIL-DTL-781J 4.6.1); the fitting maker's own instruction comes first.",
    "After the pull: reject what stays longer by more than 0.001 of its length, or whose entry mark moved.",
    "Thread exposed: from the body's face to where the thread ends. Threads showing: the same, counted.",
)
CAUTIONS = (
    "Measure each spool and offcut before its first cut, and each piece once more against its own cut length.",
    "Where a piece is left out, what stands after it in the list is cut earlier on the spool: go by lengths, not by marks on the spool.",
    "Lengths in inches are rounded to 1/32 in, the limits of the finished length to 1/64 in; the millimetres are closer.",
)


def bench_sheet(document: Document, known: Known) -> Document:
    """The sheet of a stored quote (`document` as `GET /v1/quotes/{id}` answers it)."""
    ended = ENDED.get(document["status"])
    ready = [each["tag"] for each in document["assemblies"] if each["readiness"] == "ready_to_cut" and ended is None]
    return {
        "quote": {name: document[name] for name in ("id", "number", "revision", "status", "checksum")},
        "says": ended or STATUSES[document["status"]],
        "may_be_built": ended is None,
        "boat": document["boat"]["name"],
        "shop": document["seller"]["name"],
        "issued_on": document["issued_on"],
        "leads_with": document["display_units"],
        "assemblies": [_assembly(document, each, known, ended) for each in document["assemblies"]],
        "cutting_list": cutting_list(document, ready),
        "reading": list(READING),
        "cautions": [*CAUTIONS, *document["cautions"]],
        "catalogue": {"version": document["provenance"]["catalogue"], "kept": known.kept},
    }


def _assembly(document: Document, assembly: Document, known: Known, ended: str | None) -> Document:
    cut = ended is None and assembly["readiness"] == "ready_to_cut"
    return {
        "tag": assembly["tag"],
        "name": words.role(assembly),
        "quantity": assembly["quantity"],
        "readiness": assembly["readiness"],
        "cut": cut,
        "do_not_cut": [] if cut else _reasons(assembly, ended),
        "wire": None if assembly["wire"] is None else {name: assembly["wire"][name] for name in ("sku", "name")},
        "tag_text": _tag_text(document, assembly),
        "notes": _findings(assembly, "note"),
        "build": _build(assembly, known) if cut else None,
    }


def _reasons(assembly: Document, ended: str | None) -> list[Document]:
    found = [] if ended is None else [{"code": "quote-ended", "message": ended, "remedy": "Ask the shop which quote counts."}]
    return found + _findings(assembly, "stop", "ask")


def _findings(assembly: Document, *severities: str) -> list[Document]:
    return [{name: each[name] for name in ("code", "message", "remedy")} for each in words.findings(assembly, *severities)]


def _tag_text(document: Document, assembly: Document) -> list[str]:
    """What is written on the assembly's own tag, a line each."""
    lines = [assembly["tag"], document["boat"]["name"] or "", f"{document['number']} rev {document['revision']}"]
    return [line for line in lines if line]


def _build(assembly: Document, known: Known) -> Document:
    return {
        "cut_length": figures.length(assembly["cut_length"]["mm"]),
        "finished": _finished(assembly),
        "ends": [end(assembly, name, known) for name in ("upper", "lower")],
        "turnbuckle": screw(assembly, known),
        "stops": [_stop(assembly, each) for each in assembly["stops"]],
        "proof": proof(assembly),
        "sign": [{"piece": piece, "boxes": list(SIGNED)} for piece in range(1, assembly["quantity"] + 1)],
    }


def _finished(assembly: Document) -> Document:
    """Bearing to bearing at the build setting, with the least and most that the tolerance allows."""
    tolerance, target = figures.at_most(Decimal(assembly["tolerance"]["mm"])), assembly["target_length"]
    if target is None:
        return {"length": None, "least": None, "most": None, "tolerance": tolerance, "says": NO_FINISHED}
    least, most = figures.between(Decimal(target["mm"]), Decimal(assembly["tolerance"]["mm"]))
    says = "Bearing to bearing" + (", the turnbuckle at the setting below." if assembly["turnbuckle"] else ".")
    return {"length": figures.length(target["mm"]), "least": least, "most": most, "tolerance": tolerance, "says": says}


def _stop(assembly: Document, stop: Document) -> Document:
    name = next((part["name"] for part in assembly["parts"] if part["sku"] == stop["sku"]), stop["sku"])
    return {
        "stop": stop["stop"],
        "sku": stop["sku"],
        "name": name,
        "centre_from_upper_cut_end": figures.length(stop["centre_from_upper_cut_end"]["mm"]),
        "centre_from_upper_bearing": figures.length(stop["centre_from_upper_bearing"]["mm"]),
    }

"""A cutting plan on paper (PDF): what is cut, in cutting order, to be ticked off at the bench, on the sheet that matches its units.
Equal arguments give equal bytes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any

from pricing.stock.sentences import retold_left_out
from pricing.units import imperial, metric
from service.documents import pdf
from service.documents.cutting_plan import words
from service.documents.cutting_plan.folding import Document
from service.documents.cutting_plan.named import as_named
from service.documents.speech import Speech, speech_in

TEMPLATE = "cutting_plan/paper.typ"
MOST_CUTS = 2_000  # of a plan: some sixty sheets; the bench list has every cut
MOST_ROWS = 200  # of notes and of pieces without a place, of each kind

Data = dict[str, Any]


def paper(document: Document, language: str = "en", tags: Mapping[str, str] | None = None) -> bytes:
    """The plan `document` as a PDF, tagged by PDF/UA-1. `tags`: those that its remnants got when it was taken."""
    speech = speech_in(language, document["display_units"])
    return pdf.pdf(TEMPLATE, content(document, speech, tags or {}), speech)


def content(document: Document, speech: Speech, tags: Mapping[str, str]) -> Data:
    """What the paper says, in words and figures; names of boats and quotes only where there are several."""
    wires, dropped = _shortened(as_named(document, tags, speech)["wires"])
    cut = any(wire["uses"] for wire in wires)
    return {
        "language": speech.language,
        "paper": "a4" if speech.units == "metric" else "us-letter",
        "day": document["day"],
        "title": speech.say("Cutting plan: %(title)s", title=words.title(document, speech)),
        "about": list(_about(document, speech)),
        "optimum": words.optimum(document, document["currency"], speech) if cut else speech.say("Nothing is cut by this plan."),
        "left_out": _most((retold_left_out(each, speech.shop) for each in document.get("left_out", ())), speech),
        "dropped": speech.say("%(count)s more cuts are not on this paper: the bench list has every cut.", count=dropped) if dropped else "",
        "cautions": speech.cautions(document["cautions"]) if cut else [],
        "boats": len({each["boat"] for each in _cuts(wires)}) > 1,
        "quotes": len({each["quote"] for each in _cuts(wires)}) > 1,
        "wires": [_wire(each, speech) for each in wires],
    }


def _about(document: Document, speech: Speech) -> Iterator[Data]:
    quotes = [speech.say("%(number)s, revision %(revision)s", **each) for each in document.get("quotes") or ()]
    for name, value in (("Day", speech.day(document["day"])), ("Quotes" if len(quotes) > 1 else "Quote", "; ".join(quotes))):
        if value:
            yield {"name": speech.say(name), "value": value, "other": "", "rows": ()}


def _shortened(wires: list[Document]) -> tuple[list[Document], int]:
    """The wires with the first `MOST_CUTS` cuts of all, and how many more there are. An object whose cuts are not all shown has none."""
    left, shown = MOST_CUTS, []
    for wire in wires:
        uses = []
        for use in wire["uses"]:
            left -= len(use["cuts"])
            if left >= 0:
                uses.append(use)
        shown.append({**wire, "uses": uses})
    return shown, sum(1 for _ in _cuts(wires)) - sum(1 for _ in _cuts(shown))


def _cuts(wires: list[Document]) -> Iterator[Document]:
    return (cut for wire in wires for use in wire["uses"] for cut in use["cuts"])


def _wire(wire: Document, speech: Speech) -> Data:
    return {
        "name": speech.named(wire["wire"]["name"]),
        "terms": words.terms(wire, speech) if wire["uses"] else speech.say("Nothing of this wire is cut."),
        "objects": [_object(each, speech) for each in wire["uses"]],
        "unplanned": _most((words.plain(words.unplanned(each, speech)) for each in wire["unplanned"]), speech),
        "notes": _most((words.note(each, wire, speech) for each in wire["notes"]), speech),
    }


def _object(use: Document, speech: Speech) -> Data:
    kind = words.source(use, speech)
    return {
        "name": f"{kind[:1].upper()}{kind[1:]} {use['object']}",
        "length": _both(use["length"], speech),
        "cuts": [_cut(each, speech) for each in use["cuts"]],
        "remnant": _remnant(use, speech),
        "kept": use["remnant_kept"],
        "tag": use["remnant_id"],
    }


def _cut(cut: Document, speech: Speech) -> Data:
    named = {name: str(cut[name] or "") for name in ("label", "boat", "quote")}
    first, other = _lengths(cut["length"], speech)
    marks = {name: speech.local(cut[name]["text"]) for name in ("start", "end")}
    return {**named, **marks, "step": str(cut["step"]), "length": first, "other": other}


def _remnant(use: Document, speech: Speech) -> str:
    """What is left of an object and what becomes of it; the tag of what is kept stands beside."""
    if not words.has_remnant(use):
        return speech.say("Nothing is left of it.")
    message = KEPT if use["remnant_kept"] else CUSTOMERS if words.is_customers(use) else SCRAP
    return speech.say(message, length=_both(use["remnant"], speech))


KEPT = "Remnant %(length)s: back to the shelf, with this tag on it:"
CUSTOMERS = "Remnant %(length)s: goes to the customer, who paid for it."
SCRAP = "Remnant %(length)s: scrap."


def _both(length: Document, speech: Speech) -> str:
    return "{} ({})".format(*_lengths(length, speech))


def _lengths(length: Document, speech: Speech) -> tuple[str, str]:
    """A planned length as the plan has it, and in the other unit."""
    other = imperial if speech.units == "metric" else metric
    return speech.local(length["text"]), speech.local(other(Decimal(length["mm"])))


def _most(sentences: Iterator[str], speech: Speech) -> list[str]:
    every = list(sentences)
    more = len(every) - MOST_ROWS
    return every if more <= 0 else [*every[:MOST_ROWS], speech.say("%(count)s more, not listed here.", count=more)]

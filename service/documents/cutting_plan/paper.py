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
from service.documents.speech import Speech, speech

TEMPLATE = "cutting_plan/paper.typ"
MOST_CUTS = 2_000  # of a plan: some sixty sheets; the bench list has every cut
MOST_ROWS = 200  # of notes and of pieces without a place, of each kind

Told = dict[str, Any]


def paper(document: Document, language: str = "en", tags: Mapping[str, str] | None = None) -> bytes:
    """The plan `document` as a PDF, tagged by PDF/UA-1. `tags`: those that its remnants got when it was taken."""
    said = speech(language, document["display_units"])
    return pdf.pdf(TEMPLATE, content(document, said, tags or {}), said)


def content(document: Document, said: Speech, tags: Mapping[str, str]) -> Told:
    """What the paper says, in words and figures; names of boats and quotes only where there are several."""
    wires, dropped = _shortened(as_named(document, tags, said)["wires"])
    cut = any(wire["uses"] for wire in wires)
    return {
        "language": said.language,
        "paper": "a4" if said.units == "metric" else "us-letter",
        "day": document["day"],
        "title": said.say("Cutting plan: %(title)s", title=words.title(document, said)),
        "about": list(_about(document, said)),
        "optimum": words.optimum(document, document["currency"], said) if cut else said.say("Nothing is cut by this plan."),
        "left_out": _most((retold_left_out(each, said.shop) for each in document.get("left_out", ())), said),
        "dropped": said.say("%(count)s more cuts are not on this paper: the bench list has every cut.", count=dropped) if dropped else "",
        "cautions": said.cautions(document["cautions"]) if cut else [],
        "boats": len({each["boat"] for each in _cuts(wires)}) > 1,
        "quotes": len({each["quote"] for each in _cuts(wires)}) > 1,
        "wires": [_wire(each, said) for each in wires],
    }


def _about(document: Document, said: Speech) -> Iterator[Told]:
    quotes = [said.say("%(number)s, revision %(revision)s", **each) for each in document.get("quotes") or ()]
    for name, value in (("Day", said.day(document["day"])), ("Quotes" if len(quotes) > 1 else "Quote", "; ".join(quotes))):
        if value:
            yield {"name": said.say(name), "said": value, "other": "", "rows": ()}


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


def _wire(wire: Document, said: Speech) -> Told:
    return {
        "name": said.named(wire["wire"]["name"]),
        "terms": words.terms(wire, said) if wire["uses"] else said.say("Nothing of this wire is cut."),
        "objects": [_object(each, said) for each in wire["uses"]],
        "unplanned": _most((words.plain(words.unplanned(each, said)) for each in wire["unplanned"]), said),
        "notes": _most((words.note(each, wire, said) for each in wire["notes"]), said),
    }


def _object(use: Document, said: Speech) -> Told:
    kind = words.source(use, said)
    return {
        "name": f"{kind[:1].upper()}{kind[1:]} {use['object']}",
        "length": _both(use["length"], said),
        "cuts": [_cut(each, said) for each in use["cuts"]],
        "remnant": _remnant(use, said),
        "kept": use["remnant_kept"],
        "tag": use["remnant_id"],
    }


def _cut(cut: Document, said: Speech) -> Told:
    named = {name: str(cut[name] or "") for name in ("label", "boat", "quote")}
    first, other = _lengths(cut["length"], said)
    marks = {name: said.local(cut[name]["text"]) for name in ("start", "end")}
    return {**named, **marks, "step": str(cut["step"]), "length": first, "other": other}


def _remnant(use: Document, said: Speech) -> str:
    """What is left of an object and what becomes of it; the tag of what is kept stands beside."""
    if not words.has_remnant(use):
        return said.say("Nothing is left of it.")
    message = KEPT if use["remnant_kept"] else CUSTOMERS if words.is_customers(use) else SCRAP
    return said.say(message, length=_both(use["remnant"], said))


KEPT = "Remnant %(length)s: back to the shelf, with this tag on it:"
CUSTOMERS = "Remnant %(length)s: goes to the customer, who paid for it."
SCRAP = "Remnant %(length)s: scrap."


def _both(length: Document, said: Speech) -> str:
    return "{} ({})".format(*_lengths(length, said))


def _lengths(length: Document, said: Speech) -> tuple[str, str]:
    """A planned length as the plan has it, and in the other unit."""
    other = imperial if said.units == "metric" else metric
    return said.local(length["text"]), said.local(other(Decimal(length["mm"])))


def _most(sentences: Iterator[str], said: Speech) -> list[str]:
    every = list(sentences)
    more = len(every) - MOST_ROWS
    return every if more <= 0 else [*every[:MOST_ROWS], said.say("%(count)s more, not listed here.", count=more)]

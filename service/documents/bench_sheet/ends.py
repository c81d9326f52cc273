"""One end on the bench: what to fit, how deep the wire is inserted, what a gauge must show before and after."""

from __future__ import annotations

from decimal import Decimal

from pricing.model import Part, QuotedAssembly, QuotedWire
from pricing.rows import Sleeve, Terminal, Wire
from service.documents.bench_sheet.figures import Json, at_least, at_most, diameter, length
from service.documents.bench_sheet.known import Known
from service.documents.rig.ends import terminal_of
from service.documents.speech import Speech

NOT_KEPT = "The catalogue that the quote was made with is not kept here: take the gauge limits from the fitting maker's table."
NO_LIMIT = "The quote's catalogue has no shank diameters for it: take the gauge limits from the fitting maker's table."
STRIP = "Strip the cover to the mark: nothing holds on it."
STRIP_FAR = "Strip the cover to the mark and as far beyond as the sleeves reach: nothing holds on it."
BARE = "Leave this much wire bare beyond the old bearing; the end is finished aboard."
EYE = "The eye takes this much wire: mark it; once pressed, the face of the first sleeve toward the loop lies at the mark."
NOTHING = "Nothing is fixed to the wire at this end on the bench."
INSERTION = "Insertion: mark the wire here, push it to the bottom of the bore; the mark comes flush with the mouth."
GROWTH = "Growth in swaging, bearing to the entry mark, from the shop's test swages; the cut length allows for it."
DERIVED = "Growth in swaging, derived from the shank's diameters, not measured; the cut length allows for it."
SHANK = "Shank of %(sku)s by the quote's catalogue. Thicker after swaging: not pressed down far enough. Thinner than the wire: crushed."
_OPERATIONS = {"swage": "swage", "compression": "compression", "press": "sleeve"}


def end(assembly: QuotedAssembly, wire: QuotedWire, name: str, known: Known, speech: Speech) -> Json:
    """The end `name`, `upper` or `lower`, of an assembly of this wire that may be cut."""
    terms = _Terms(assembly, name)
    covered = any(work.operation == "strip" for work in assembly.work)
    how = next((_OPERATIONS[work.operation] for work in assembly.work if work.at == name), "none")
    part = terminal_of(assembly, name)
    bare = terms.of("left-bare")
    return {
        "end": name,
        "how": "bare" if bare else how,
        "fitting": None if part is None else named(part, speech),
        **_mark(terms, how, bare, speech, covered=covered),
        "growth": _growth(terms, speech),
        "gauge": _gauge(wire, part, known, speech) if how == "swage" else None,
        "sleeve": _sleeve(assembly, name, known, terms, speech) if how == "sleeve" else None,
        "with": [named(each, speech) for each in _parts(assembly, name) if each is not part],
    }


class _Terms:
    """The terms of the derivation at one end by code, mm as printed."""

    def __init__(self, assembly: QuotedAssembly, end: str) -> None:
        self._terms = [(each.code, each.mm) for each in assembly.derivation if each.at == end]

    def of(self, *codes: str) -> Decimal | None:
        """The sum of these terms; None if there are none of them."""
        found = [mm for code, mm in self._terms if code in codes]
        return sum(found, Decimal(0)) if found else None


def _parts(assembly: QuotedAssembly, name: str) -> list[Part]:
    return [each for each in assembly.parts if each.at == name]


def named(part: Part, speech: Speech) -> Json:
    """A part, for a list of them."""
    return {"sku": part.sku, "name": speech.named(part.name), "quantity": part.quantity, "kept": part.kept}


def _mark(terms: _Terms, how: str, bare: Decimal | None, speech: Speech, *, covered: bool) -> Json:
    """The mark on the wire, measured from its cut end, and its purpose."""
    if bare is not None:
        return {"mark": length(bare, speech), "mark_says": speech.say(BARE)}
    if how == "sleeve":
        taken = terms.of("loop", "wire-in-sleeves", "tail")
        return {
            "mark": None if taken is None else length(taken, speech),
            "mark_says": f"{speech.say(STRIP_FAR)} {speech.say(EYE)}" if covered else speech.say(EYE),
        }
    depth = terms.of("wire-in-bore")
    if depth is None:
        return {"mark": None, "mark_says": speech.say(NOTHING)}
    return {
        "mark": length(depth, speech),
        "mark_says": f"{speech.say(STRIP)} {speech.say(INSERTION)}" if covered else speech.say(INSERTION),
    }


def _growth(terms: _Terms, speech: Speech) -> Json | None:
    grown = terms.of("terminal-growth")
    if grown is not None:
        return {"by": diameter(-grown, speech), "says": speech.say(GROWTH)}
    derived = terms.of("terminal-growth-derived")
    return None if derived is None else {"by": diameter(-derived, speech), "says": speech.say(DERIVED)}


def _gauge(on: QuotedWire, part: Part | None, known: Known, speech: Speech) -> Json:
    """Shank diameters. After swaging: at most the catalogue's, at least the diameter of the wire inside (pricing/records/as_built.py
    applies the same rule).
    """
    row = known.articles.get(part.sku) if part else None
    wire = known.articles.get(on.sku)
    if not isinstance(row, Terminal) or row.shank_after is None:
        says = speech.say(NO_LIMIT if known.kept else NOT_KEPT)
        return {"before": None, "after_maximum": None, "after_minimum": None, "press_over": None, "says": says}
    return {
        "before": None if row.shank_before is None else diameter(row.shank_before, speech),
        "after_maximum": at_most(row.shank_after, speech),
        "after_minimum": at_least(wire.diameter, speech) if isinstance(wire, Wire) else None,
        "press_over": None if row.swaged_length is None else length(row.swaged_length, speech),
        "says": speech.say(SHANK, sku=row.sku),
    }


def _sleeve(assembly: QuotedAssembly, name: str, known: Known, terms: _Terms, speech: Speech) -> Json:
    rows = [(part, known.articles.get(part.sku)) for part in _parts(assembly, name)]
    found = next(((part, row) for part, row in rows if isinstance(row, Sleeve)), None)
    tail = terms.of("tail")
    if found is None:
        return {"per_eye": None, "pressed": None, "gap": None, "tail": None if tail is None else length(tail, speech)}
    part, row = found
    gap = length(row.gap, speech) if row.per_eye > 1 else None
    return {"per_eye": part.quantity, "pressed": length(row.pressed_length, speech), "gap": gap, "tail": length(row.tail, speech)}

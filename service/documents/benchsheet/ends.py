"""One end on the bench: what to fit, how deep the wire goes in, what a gauge must show before and after."""

from __future__ import annotations

from decimal import Decimal

from pricing.catalogue.rows import Sleeve, Terminal, Thimble, Wire
from service.documents.benchsheet.figures import at_least, at_most, diameter, length
from service.documents.benchsheet.known import Known
from service.documents.rig.families import article
from service.documents.rig.terms import Document, Steps

NOT_KEPT = "The catalogue that the quote was made with is not kept here: take the gauge limits from the fitting maker's table."
NO_LIMIT = "The quote's catalogue has no shank diameters for it: take the gauge limits from the fitting maker's table."
_OPERATIONS = {"swage": "swage", "compression": "compression", "press": "sleeve"}


def end(assembly: Document, name: str, known: Known) -> Document:
    """The end `name`, `upper` or `lower`, of an assembly that may be cut."""
    steps, terms = Steps(assembly), _Terms(assembly)
    how = next((_OPERATIONS[work["operation"]] for work in assembly["work"] if work["at"] == name), "none")
    reach = steps.first(f"{name} terminal reach")
    part = article(assembly, name, reach) if reach else None
    if how == "sleeve":
        part = next(
            (each for each in _parts(assembly, name) if isinstance(known.articles.get(each["sku"]), Thimble)), _first(assembly, name)
        )
    bare = terms.of(f"{name} end left bare")
    return {
        "end": name,
        "how": "bare" if bare else how,
        "fitting": None if part is None else _named(part),
        **_mark(terms, name, how, bare),
        "growth": _growth(terms, name),
        "gauge": _gauge(assembly, part, known) if how == "swage" else None,
        "sleeve": _sleeve(assembly, name, known, terms) if how == "sleeve" else None,
        "with": [_named(each) for each in _parts(assembly, name) if each is not part],
    }


class _Terms:
    """The derivation's terms by name, mm as printed."""

    def __init__(self, assembly: Document) -> None:
        self._terms = [(each["step"], Decimal(each["mm"])) for each in assembly["derivation"]]

    def of(self, *names: str) -> Decimal | None:
        """Their sum; None where there is none of them."""
        found = [mm for step, mm in self._terms if step in names]
        return sum(found, Decimal(0)) if found else None


def _parts(assembly: Document, name: str) -> list[Document]:
    return [each for each in assembly["parts"] if each["at"] == name]


def _first(assembly: Document, name: str) -> Document | None:
    return next(iter(_parts(assembly, name)), None)


def _named(part: Document) -> Document:
    return {name: part[name] for name in ("sku", "name", "quantity", "kept")}


def _mark(terms: _Terms, name: str, how: str, bare: Decimal | None) -> Document:
    """The mark on the wire, from its cut end, and what it is for."""
    if bare is not None:
        return {"mark": length(bare), "mark_says": "Leave this much wire bare beyond the old bearing; the end is finished aboard."}
    if how == "sleeve":
        taken = terms.of(*(f"{name} {what}" for what in ("loop round the thimble", "wire in the sleeves", "tail")))
        words = "The eye takes this much wire: mark it; once pressed, the face of the first sleeve toward the thimble lies at the mark."
        return {"mark": None if taken is None else length(taken), "mark_says": words}
    depth = terms.of(f"{name} wire in the bore")
    if depth is None:
        return {"mark": None, "mark_says": "Nothing is fixed to the wire at this end on the bench."}
    return {
        "mark": length(depth),
        "mark_says": "Insertion: mark the wire here, push it to the bottom of the bore; the mark comes flush with the mouth.",
    }


def _growth(terms: _Terms, name: str) -> Document | None:
    grown = terms.of(f"{name} terminal growth")
    if grown is not None:
        return {
            "by": diameter(-grown),
            "says": "Growth in swaging, bearing to the entry mark, from the shop's test swages; the cut length allows for it.",
        }
    derived = terms.of(f"{name} terminal growth (derived)")
    if derived is None:
        return None
    return {
        "by": diameter(-derived),
        "says": "Growth in swaging, derived from the shank's diameters, not measured; the cut length allows for it.",
    }


def _gauge(assembly: Document, part: Document | None, known: Known) -> Document:
    """Shank diameters. After swaging: no more than the catalogue's, no less than the wire inside (pricing/as_built.py judges by the same)."""
    row = known.articles.get(part["sku"]) if part else None
    wire = known.articles.get(assembly["wire"]["sku"])
    if not isinstance(row, Terminal) or row.shank_after is None:
        return {"before": None, "after_most": None, "after_least": None, "press_over": None, "says": NO_LIMIT if known.kept else NOT_KEPT}
    return {
        "before": None if row.shank_before is None else diameter(row.shank_before),
        "after_most": at_most(row.shank_after),
        "after_least": at_least(wire.diameter) if isinstance(wire, Wire) else None,
        "press_over": None if row.swaged_length is None else length(row.swaged_length),
        "says": f"Shank of {row.sku} by the quote's catalogue. Thicker after swaging: not pressed down far enough. Thinner than the wire: crushed.",
    }


def _sleeve(assembly: Document, name: str, known: Known, terms: _Terms) -> Document:
    rows = [(part, known.articles.get(part["sku"])) for part in _parts(assembly, name)]
    found = next(((part, row) for part, row in rows if isinstance(row, Sleeve)), None)
    tail = terms.of(f"{name} tail")
    if found is None:
        return {"per_eye": None, "pressed": None, "gap": None, "tail": None if tail is None else length(tail)}
    part, row = found
    gap = length(row.gap) if row.per_eye > 1 else None
    return {"per_eye": part["quantity"], "pressed": length(row.pressed_length), "gap": gap, "tail": length(row.tail)}

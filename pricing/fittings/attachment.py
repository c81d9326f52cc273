"""How a terminal is attached to its wire, and what that does to lengths: swaging lengthens, compression does not.

Growth is how much further from the bearing a mark on the wire, originally flush with the mouth, lies after swaging. It depends on the
terminal and the wire. If barrel and wire are drawn together, conservation of metal gives growth = L·((D0² − b² + k·d²)/D1² − 1), with L the
swaged length before swaging, D0 and b the shank's diameter and bore before, D1 its diameter after, d the wire and k its metallic share of
the circle; common practice, no source but the geometry.
"""

from __future__ import annotations

import math
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.derivation import Term, term
from pricing.findings import Finding, code, finding
from pricing.fittings.base import Contribution, EndRequest, Part, Work, named
from pricing.fittings.ended import discontinued_values
from pricing.fittings.own import origin
from pricing.values import FineLength, Number, Text, phrase

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.rows import Growth, Terminal, Wire

GROWTH_DERIVED = code(
    "growth-derived",
    "ask",
    "No test swage of this terminal on this wire is in the catalogue; its growth was derived from the shank's diameters before and after.",
    "shop",
)
GROWTH_OF_UNNAMED_WIRE = code(
    "growth-of-unnamed-wire",
    "ask",
    "The catalogue has one growth for this terminal, without the wire that it was measured on; wires of other constructions grow otherwise.",
    "shop",
)
GROWTH_UNKNOWN = code(
    "growth-unknown", "stop", "The catalogue has neither a measured growth nor the shank's diameters to derive it from.", "shop"
)
NO_CONE = code(
    "no-cone", "ask", "A compression terminal that is fitted again takes a new cone, and the catalogue has none for this wire.", "shop"
)
DERIVED_SHARE = 1 / 3  # half-width of a derived growth, as a share of it: the true one lies between 0 and it
_OPERATION = {"swage": "swage", "compression": "compression"}


class Grown(NamedTuple):
    """The growth term (negative: it shortens the wire), its uncertainty, and the resulting findings."""

    term: Term | None = None
    contribution: Contribution | None = None
    findings: tuple[Finding, ...] = ()


def derived_growth(length: float, before: float, bore: float, after: float, wire: float, metallic_share: float) -> float:
    """Growth in mm from lengths and diameters in mm; negative if the shank after swaging is thicker than its metal could fill."""
    return length * ((before**2 - bore**2 + metallic_share * wire**2) / after**2 - 1)


def growth(row: Terminal, wire: Wire, end: str, catalogue: Catalogue) -> Grown:
    """The growth of a terminal on a wire.

    Taken from the shop's test swages of this terminal on this wire; else derived; else, in tables without test swages by wire, the
    terminal's single figure.
    """
    if row.attachment != "swage":
        name = phrase("contribution.assembled", end=phrase(f"end.{end}"))
        loose = Contribution(name, float(row.growth_u or 0), None, phrase("improve.assembled"))
        return Grown(contribution=loose if row.growth_u else None)
    tested = catalogue.growth(row.sku, wire.construction, wire.diameter)
    if tested is not None:
        return _tested(tested, wire, end)
    if row.growth is not None and not catalogue.tables.growths:
        return _of_unnamed_wire(row, row.growth, wire, end, catalogue)
    return _derived(row, wire, end)


def _tested(tested: Growth, wire: Wire, end: str) -> Grown:
    construction = phrase(f"construction.{wire.construction}")
    growth = term(
        "terminal-growth",
        -tested.growth,
        origin(tested.terminal),
        end,
        growth=tested.growth,
        wire=Text(wire.size),
        construction=construction,
    )
    key = f"growth of {tested.terminal} on {tested.construction} {tested.wire_size}"
    return Grown(growth, _contribution(end, float(tested.growth_u), "more_test_swages", key))


def _contribution(end: str, u: float, remedy: str, key: str) -> Contribution:
    return Contribution(phrase("contribution.growth", end=phrase(f"end.{end}")), u, None, phrase(f"improve.{remedy}"), key)


def _of_unnamed_wire(row: Terminal, mm: Decimal, wire: Wire, end: str, catalogue: Catalogue) -> Grown:
    """The single figure of older tables without test swages by wire, with an uncertainty that covers the spread between its wires."""
    growth_term = term("terminal-growth", -mm, origin(row.sku), end, "unnamed_wire", growth=mm)
    apart = _apart(row, wire, catalogue)
    u = math.hypot(float(row.growth_u or 0), apart / math.sqrt(3))
    contribution = _contribution(end, u, "test_swage", f"growth of {row.sku}")
    if len(row.constructions) == len(row.wire_sizes) == 1:
        return Grown(growth_term, contribution)
    values = {"terminal": Text(row.sku), "growth": FineLength(round(mm, 2)), **named(wire)}
    return Grown(growth_term, contribution, (finding(GROWTH_OF_UNNAMED_WIRE, f"{end}/terminal", **values),))


def _apart(row: Terminal, wire: Wire, catalogue: Catalogue) -> float:
    """The largest difference in mm between the derived growths on this wire and on another the terminal takes; 0 if none can be derived."""
    here = _conserved(row, wire)
    others = [other for other in catalogue.wires.values() if other.construction in row.constructions and other.diameter in row.wire_sizes]
    growths = [mm for other in others if (mm := _conserved(row, other)) is not None]
    return max((abs(mm - here) for mm in growths), default=0.0) if here is not None else 0.0


def _share(wire: Wire) -> float:
    return float(wire.metallic_mm2) / (math.pi / 4 * float(wire.diameter) ** 2)


def _conserved(row: Terminal, wire: Wire) -> float | None:
    if row.swaged_length is None or row.shank_before is None or row.bore is None or row.shank_after is None:
        return None
    length, before, bore, after = (float(size) for size in (row.swaged_length, row.shank_before, row.bore, row.shank_after))
    return derived_growth(length, before, bore, after, float(wire.diameter), _share(wire))


def _derived(row: Terminal, wire: Wire, end: str) -> Grown:
    at, terminal = f"{end}/terminal", Text(row.sku)
    mm = _conserved(row, wire)
    if mm is None:
        return Grown(findings=(finding(GROWTH_UNKNOWN, at, "unmeasured", terminal=terminal, **named(wire)),))
    if mm <= 0:
        return Grown(findings=(finding(GROWTH_UNKNOWN, at, "impossible", terminal=terminal),))
    growth_term = term(
        "terminal-growth-derived", -mm, phrase("source.shank", sku=Text(row.sku)), end,
        swaged_length=row.swaged_length or 0, shank_before=row.shank_before or 0, bore=row.bore or 0, shank_after=row.shank_after or 0,
        wire=wire.diameter, metallic_share=Number(Decimal(f"{_share(wire):.4f}")),
    )  # fmt: skip
    shank = f"{row.swaged_length}/{row.shank_before}/{row.bore}/{row.shank_after}"  # the same shank on this wire is one figure
    contribution = _contribution(end, DERIVED_SHARE * mm / math.sqrt(3), "test_swage", f"growth of shank {shank} on {wire.sku}")
    grown = FineLength(round(growth_term.mm.copy_abs(), 2))
    return Grown(growth_term, contribution, (finding(GROWTH_DERIVED, at, terminal=terminal, growth=grown, **named(wire)),))


def depth(row: Terminal, end: str) -> Term:
    """The wire inside the bore, pushed in to the bottom."""
    return term("wire-in-bore", row.depth, origin(row.sku), end, depth=row.depth)


def work(row: Terminal, end: str) -> tuple[Work, ...]:
    """The operation that attaches it."""
    return (Work(_OPERATION[row.attachment], 1, end),)


def reach(row: Terminal, end: str, less: Decimal | None = None) -> Term:
    """The length between bearing and mouth, unswaged, minus `less`: for a stud in a turnbuckle, its whole thread."""
    if less is None:
        return term("terminal-reach", -row.reach, origin(row.sku), end, reach=row.reach)
    return term("terminal-reach", less - row.reach, origin(row.sku), end, "less_thread", reach=row.reach)


def cone(request: EndRequest, catalogue: Catalogue) -> tuple[tuple[Part, ...], tuple[Finding, ...]]:
    """The new cone for a reused compression terminal, or a finding if there is none; a new terminal comes with its own (common practice)."""
    if not request.end.reuse or request.end.attachment != "compression":
        return (), ()
    row, wire = catalogue.cone(request.wire.construction, request.wire.diameter), request.wire
    if row is not None:
        return (Part(row.sku, row.name, 1, request.name, False, row.mass_kg),), ()
    at, part = f"{request.name}/terminal", phrase(f"kept_terminal.{request.end.terminal}")
    if (gone := catalogue.with_discontinued.cone(wire.construction, wire.diameter)) is not None:
        return (), (finding(NO_CONE, at, "ended", part=part, **discontinued_values(gone)),)
    return (), (finding(NO_CONE, at, part=part, **named(wire)),)

"""What all terminals with a barrel share: reach, growth, wire in the bore, one part and one operation."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, ClassVar

from pricing.derivation import Term, total
from pricing.findings import Finding
from pricing.fittings import attachment
from pricing.fittings.base import EndRequest, Family, Fitting, Frame, Member, Misfit, Part
from pricing.fittings.choose import choose_terminal
from pricing.fittings.own import kept_swage, not_kept, origin, own_terminal, strength_origin
from pricing.joints.members import at_end, of_terminal
from pricing.values import phrase

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.rows import Terminal


class Barrel(Family):
    """A family of terminals with a bore for the wire, each a row of terminals.csv."""

    own: ClassVar[tuple[str, ...]] = ("reach", "depth")

    def fit(self, request: EndRequest, catalogue: Catalogue) -> Fitting | Misfit:
        """Reach, growth and bore from the catalogue's row for that wire, and for that pin if the family has one."""
        laid_out = self.laid_out(request, catalogue)
        return laid_out if isinstance(laid_out, Misfit) else laid_out[1]

    def laid_out(self, request: EndRequest, catalogue: Catalogue) -> tuple[Terminal, Fitting] | Misfit:
        """The chosen terminal's row and the fitting made from it, for families that build on them."""
        return _laid_out(self, request, catalogue)

    def frame(self, row: Terminal) -> Frame:
        """The bearing's surroundings: the far wall of a pin hole, as seen from the wire, if the family has a pin."""
        if "pin" not in self.asks:
            return Frame("plain")
        return Frame("hole", pin=row.pin, hole=row.hole, tip=row.tip, source=origin(row.sku))


def _laid_out(family: Barrel, request: EndRequest, catalogue: Catalogue) -> tuple[Terminal, Fitting] | Misfit:
    chosen = _chosen(family, request, catalogue)
    if isinstance(chosen, Misfit):
        return chosen
    row, assumed = chosen
    end = request.name
    grown, contribution, findings = attachment.growth(row, request.wire, end, catalogue)
    cone, missing = attachment.cone(request, catalogue)
    members: tuple[Term, ...] = (attachment.reach(row, end), *((grown,) if grown else ()))
    return row, Fitting(
        end=end,
        members=members,
        taken=(attachment.depth(row, end),),
        clear_of=-total(members),
        frame=family.frame(row),
        parts=(Part(row.sku, row.name, 1, end, request.end.reuse, row.mass_kg, row.family, row.attachment or None), *cone),
        work=attachment.work(row, end),
        strength=(Member(at_end(phrase(f"terminal.{row.family}"), end), row.break_kn, strength_origin(row.sku)),),
        contributions=(contribution,) if contribution and not request.end.reuse else (),
        findings=(*assumed, *findings, *missing),
        face=of_terminal(family.side, row, end, kept=request.end.reuse),
        sku=row.sku,
        family=row.family,
        sizes=(("depth", row.depth), *((("compression", Decimal(1)),) if row.attachment == "compression" else ())),
    )


def _chosen(family: Family, request: EndRequest, catalogue: Catalogue) -> tuple[Terminal, tuple[Finding, ...]] | Misfit:
    """The terminal from the catalogue, or the customer's own as measured."""
    own = request.end.dimensions
    if kept := kept_swage(request):
        return kept
    chosen = choose_terminal(request, catalogue)
    if own is None:
        return chosen
    if not request.end.reuse:
        return not_kept(request.name)
    if isinstance(chosen, Misfit):
        return own_terminal(family, request, own, None)
    measured_terminal = own_terminal(family, request, own, chosen[0])
    return measured_terminal if isinstance(measured_terminal, Misfit) else (measured_terminal[0], (*chosen[1], *measured_terminal[1]))


def ring_to_centre(ball: Decimal, slot: Decimal) -> Decimal:
    """Distance from a ball's bearing ring to its centre: √((D/2)² − (s/2)²), with D the ball and s the width of the slot or claw, mm.

    Pythagoras. Raises ValueError if the slot is at least as wide as the ball, which would pull through.
    """
    if slot >= ball:
        raise ValueError("the slot is as wide as the ball, which would pull through")
    return ((ball / 2) ** 2 - (slot / 2) ** 2).sqrt()

"""What all terminals with a barrel share: reach, growth, wire in the bore, one part and one operation."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

from pricing.derivation import Term, total
from pricing.findings import Finding
from pricing.fittings import attachment
from pricing.fittings.base import Asked, Fitting, Frame, Member, Misfit, Part
from pricing.fittings.choose import choose_terminal
from pricing.fittings.own import as_catalogue, kept_swage, not_kept, origin, own_doubt, own_terminal

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.catalogue.rows import Terminal


def fit_barrel(asked: Asked, catalogue: Catalogue) -> tuple[Terminal, Fitting] | Misfit:
    """Choose and lay out a terminal that swallows wire; the family sets its frame."""
    chosen = _chosen(asked, catalogue)
    if isinstance(chosen, Misfit):
        return chosen
    row, assumed = chosen
    end, growth = asked.name, attachment.growth(row, asked.wire, asked.name)
    grown, doubt, findings = growth
    members: tuple[Term, ...] = (attachment.reach(row, end), *((grown,) if grown else ()))
    return row, Fitting(
        end=end,
        members=members,
        taken=(attachment.depth(row, end),),
        clear_of=-total(members),
        frame=Frame("plain"),
        parts=(Part(row.sku, row.name, 1, end, asked.end.reuse, row.mass_kg, row.family, row.attachment or None),),
        work=attachment.work(row, end),
        strength=(Member(f"{end} {row.family}", row.break_kn, origin(row.sku)),),
        doubts=(own_doubt(f"{end} terminal, kept", asked.end.dimensions.within),) if asked.end.dimensions else (doubt,) if doubt else (),
        findings=assumed + findings,
        jaw=row.jaw,
        sku=row.sku,
    )


def _chosen(asked: Asked, catalogue: Catalogue) -> tuple[Terminal, tuple[Finding, ...]] | Misfit:
    """From the catalogue, or the customer's own as measured."""
    own = asked.end.dimensions
    if kept := kept_swage(asked):
        return kept
    chosen = choose_terminal(asked, catalogue)
    if own is None:
        if asked.end.reuse and not isinstance(chosen, Misfit):
            return chosen[0], (*chosen[1], *as_catalogue(f"{asked.name}/terminal", asked.end.terminal))
        return chosen
    if not asked.end.reuse:
        return not_kept(asked.name)
    return own_terminal(asked, own, None if isinstance(chosen, Misfit) else chosen[0])


def fit_holed(asked: Asked, catalogue: Catalogue) -> Fitting | Misfit:
    """A barrel whose bearing is the wall of a pin hole farthest from the wire."""
    made = fit_barrel(asked, catalogue)
    if isinstance(made, Misfit):
        return made
    row, fitting = made
    return replace(fitting, frame=Frame("hole", pin=row.pin, hole=row.hole, tip=row.tip, source=origin(row.sku)))


def ring_to_centre(ball: Decimal, slot: Decimal) -> Decimal:
    """Distance from a ball's bearing ring to its centre: √((D/2)² − (s/2)²), D the ball and s the slot's or claw's width, mm.

    Pythagoras. Raises ValueError when the slot is as wide as the ball or wider, since the ball then pulls through.
    """
    if slot >= ball:
        raise ValueError("the slot is as wide as the ball, which would pull through")
    return ((ball / 2) ** 2 - (slot / 2) ** 2).sqrt()

"""A ball terminal: a ball on the wire's end that sits in a socket; it bears on a ring, not on its centre or its tip."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from pricing.findings import code, finding
from pricing.fittings.barrel import fit_barrel, ring_to_centre
from pricing.fittings.base import Asked, Fitting, Frame, Misfit
from pricing.fittings.own import origin

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue

BALL_PULLS_THROUGH = code("ball-pulls-through", "stop", "A ball is not larger than the slot, socket or claw it must bear on.")


class Ball:
    """Bearing: the ring where the socket touches."""

    name = "ball"
    attachments: tuple[str, ...] = ("swage",)

    def fit(self, asked: Asked, catalogue: Catalogue) -> Fitting | Misfit:
        """Reach counts from the bearing ring; the frame knows ball and ring for readings taken to centre or tip."""
        made = fit_barrel(asked, catalogue)
        if isinstance(made, Misfit):
            return made
        row, fitting = made
        if row.ball is None or row.slot is None or row.slot >= row.ball:
            message = f"{row.sku} has no ball larger than its socket."
            return Misfit((finding(BALL_PULLS_THROUGH, f"{asked.name}/terminal", message, "Correct ball and slot in the catalogue."),))
        ring = ring_to_centre(row.ball, row.slot)
        return replace(fitting, frame=Frame("ball", ring_to_centre=ring, ball=row.ball, source=origin(row.sku)))

"""A ball terminal: a ball on the wire's end, seated in a socket. It bears on a ring, not on its centre or tip."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from pricing.findings import code, finding
from pricing.fittings.barrel import Barrel, ring_to_centre
from pricing.fittings.base import EndRequest, Fitting, Frame, Misfit
from pricing.fittings.outline import Bearing, Disc, Shank
from pricing.fittings.own import origin
from pricing.values import Text

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue

BALL_PULLS_THROUGH = code("ball-pulls-through", "stop", "A ball is not larger than the slot, socket or claw it must bear on.", "shop")


class Ball(Barrel):
    """Bearing: the ring where the ball touches the socket."""

    name = "ball"
    label = "Ball, in a socket"
    bears = "Bears on a ring of the ball, where its socket touches: not on the centre, not on the tip."
    side = "ball"
    attachments = ("swage",)
    datums = ("bearing", "ball_centre", "outer_tip")
    needs = ("ball", "slot")
    outline = (Shank(0.0), Disc(-1.28, 1.6), Bearing(0.0, 0.96, 1.86))  # the ring is 0.8 of the radius from the centre: 3-4-5 triangle

    def fit(self, request: EndRequest, catalogue: Catalogue) -> Fitting | Misfit:
        """Reach is measured from the bearing ring; the frame holds ball and ring for readings taken to centre or tip."""
        laid_out = self.laid_out(request, catalogue)
        if isinstance(laid_out, Misfit):
            return laid_out
        row, fitting = laid_out
        if row.ball is None or row.slot is None or row.slot >= row.ball:
            return Misfit((finding(BALL_PULLS_THROUGH, f"{request.name}/terminal", terminal=Text(row.sku)),))
        ring = ring_to_centre(row.ball, row.slot)
        return replace(fitting, frame=Frame("ball", ring_to_centre=ring, ball=row.ball, source=origin(row.sku)))

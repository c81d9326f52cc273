"""A stud: a threaded rod on the wire's end. Bare, its bearing is the last thread at the tip; in a turnbuckle its exposed thread counts."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

from pricing.derivation import total
from pricing.fittings import attachment
from pricing.fittings.barrel import Barrel
from pricing.fittings.base import EndRequest, Fitting, Frame, Misfit
from pricing.fittings.own import origin
from pricing.joints.members import thread

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue


class Stud(Barrel):
    """Bearing: the last thread at the tip; a plain or rounded tip beyond it does not count."""

    name = "stud"
    label = "Threaded stud"
    bears = "In a turnbuckle it is measured with the turnbuckle's setting; bare, to its last thread."
    side = "thread"
    attachments = ("swage", "compression")
    asks = ("thread", "hand")
    datums = ("bearing", "stud_tip")
    needs = ("thread", "hand", "thread_length", "plain_tip")
    may = ("cotter_hole", "cotter_at")
    own = ("reach", "depth", "thread_length")

    def fit(self, request: EndRequest, catalogue: Catalogue) -> Fitting | Misfit:
        """In a turnbuckle the member is (reach − thread length) + growth; the turnbuckle adds the exposed thread."""
        laid_out = self.laid_out(request, catalogue)
        if isinstance(laid_out, Misfit):
            return laid_out
        row, fitting = laid_out
        thread_length = row.thread_length or Decimal(0)
        cut = catalogue.thread(row.thread or "")
        members = fitting.members
        if request.in_turnbuckle:
            neck = attachment.reach(row, request.name, thread_length)
            members = (neck, *members[1:])
        return replace(
            fitting,
            members=members,
            clear_of=-total(members),
            frame=Frame("stud", plain_tip=row.plain_tip or Decimal(0), source=origin(row.sku)),
            face=thread(request.name, cut.diameter if cut else None),
            thread=row.thread,
            hand=row.hand,
            thread_length=thread_length,
            plain_tip=row.plain_tip or Decimal(0),
            cotter_hole=row.cotter_hole,
            cotter_at=row.cotter_at,
        )

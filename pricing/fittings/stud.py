"""A stud: a threaded rod on the wire's end. Bare, its bearing is the last thread at the tip; in a turnbuckle its exposed thread counts."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

from pricing.derivation import total
from pricing.fittings import attachment
from pricing.fittings.barrel import fit_barrel
from pricing.fittings.base import Asked, Fitting, Frame, Misfit
from pricing.fittings.own import origin

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue


class Stud:
    """Bearing: the last thread at the tip; a plain or rounded tip beyond it is not counted."""

    name = "stud"
    attachments: tuple[str, ...] = ("swage", "compression")

    def fit(self, asked: Asked, catalogue: Catalogue) -> Fitting | Misfit:
        """In a turnbuckle the member is (reach − thread length) + growth; the turnbuckle adds the exposed thread."""
        made = fit_barrel(asked, catalogue)
        if isinstance(made, Misfit):
            return made
        row, fitting = made
        thread_length = row.thread_length or Decimal(0)
        members = fitting.members
        if asked.in_turnbuckle:
            neck = attachment.reach(row, asked.name, row.reach - thread_length, "last thread to mouth, less the whole thread")
            members = (neck, *members[1:])
        return replace(
            fitting,
            members=members,
            clear_of=-total(members),
            frame=Frame("stud", plain_tip=row.plain_tip or Decimal(0), source=origin(row.sku)),
            thread=row.thread,
            hand=row.hand,
            thread_length=thread_length,
            plain_tip=row.plain_tip or Decimal(0),
        )

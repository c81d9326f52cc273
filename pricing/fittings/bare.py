"""An end left long and bare, to be finished aboard with a compression terminal: no fitting, only wire to leave."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from pricing.derivation import ZERO, term
from pricing.findings import code, finding
from pricing.fittings.base import Asked, Fitting, Frame, Misfit
from pricing.units import spoken

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue

LEFT_BARE = code("end-left-bare", "note", "An end is left long and bare, to be finished aboard: there is a cut length and no finished one.")


class Bare:
    """No bearing of its own; `leave` is the wire beyond the bearing that was measured."""

    name = "none"
    attachments: tuple[str, ...] = ()

    def fit(self, asked: Asked, catalogue: Catalogue) -> Fitting | Misfit:
        """The wire runs to the old bearing and `leave` beyond it."""
        leave = asked.end.leave or Decimal(0)
        left = term(f"{asked.name} end left bare", leave, "asked for", "wire to leave beyond the old bearing", leave=leave)
        told = finding(
            LEFT_BARE,
            f"{asked.name}/leave",
            f"The {asked.name} end is left {spoken(left.mm)} longer than the old bearing and bare.",
            "Finish it aboard with a compression terminal, by its maker's instructions.",
        )
        return Fitting(asked.name, (), (left,), ZERO, Frame("plain"), findings=(told,))

"""An end left long and bare, to be finished aboard with a compression terminal: no fitting, only extra wire."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from pricing.derivation import ZERO, term
from pricing.findings import Finding, code, finding
from pricing.fittings.base import EndRequest, Family, Fitting, Frame, Misfit, named
from pricing.values import Length, phrase

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue

LEFT_BARE = code(
    "end-left-bare", "note", "An end is left long and bare, to be finished aboard: there is a cut length but no finished length."
)


def _left(request: EndRequest, left: Length, catalogue: Catalogue) -> Finding:
    """The finding, worded by whether a compression terminal for this wire can be fitted aboard."""
    at, wire, end = f"{request.name}/leave", request.wire, phrase(f"end.{request.name}")
    if any(catalogue.terminals(each, "compression", wire.construction, wire.diameter, wire.material) for each in ("fork", "eye", "stud")):
        return finding(LEFT_BARE, at, "terminal", end=end, left=left)
    return finding(LEFT_BARE, at, "by_hand", end=end, left=left, **named(wire))


class Bare(Family):
    """No bearing of its own; `leave` is the wire left beyond the bearing to which the reading was taken."""

    name = "none"
    label = "Nothing: leave the wire bare and long"
    bears = "Say how much wire to leave beyond the place where the old wire bore."
    side = "bare"
    listed = False

    def fit(self, request: EndRequest, catalogue: Catalogue) -> Fitting | Misfit:
        """The wire runs to the old bearing and `leave` beyond it."""
        leave = request.end.leave or Decimal(0)
        left = term("left-bare", leave, phrase("source.asked_for"), request.name, leave=leave)
        return Fitting(request.name, (), (left,), ZERO, Frame("plain"), findings=(_left(request, Length(left.mm), catalogue),))

"""A tee: a cross-bar on a shank that is turned into a slotted mast fitting; it seats on its shoulder.

The mast's wall may be backed by a slotted plate. Replaced like for like, it changes no length. A plate that is added or left away moves the
bearing by up to its thickness, inward or toward the wire depending on the side of the wall it lies on; since the wire leaves the mast at an
unmeasured angle, the shop is asked instead.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from pricing.findings import Finding, code, finding
from pricing.fittings.barrel import Barrel
from pricing.fittings.base import EndRequest, Fitting, Misfit, Part
from pricing.fittings.ended import discontinued_values
from pricing.fittings.outline import Bearing, Shank, Solid
from pricing.joints import Unfit, join
from pricing.joints.findings import misfit
from pricing.joints.members import of_backing_plate
from pricing.values import Size, phrase

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.rows import BackingPlate

NO_PLATE = code("no-backing-plate", "ask", "A backing plate is asked for, and the catalogue has none for a tee on this wire.", "shop")
PLATE_KEPT = code(
    "backing-plate-kept",
    "note",
    "The old backing plate stays; whether the new tee goes through its slot, and how worn it is, is not known.",
)
MOVES_BEARING = code(
    "backing-plate-moves-bearing",
    "ask",
    "A backing plate is added where there was none, or left away: the tee bears elsewhere by up to its thickness.",
)


class Tee(Barrel):
    """Bearing: the shoulder that seats in the mast fitting."""

    name = "tee"
    label = "Tee, in a slot of the mast"
    bears = "Bears on its shoulder, where it seats in the mast."
    side = "cross_bar"
    attachments = ("swage",)
    asks = ("backing_plate",)
    outline = (Shank(0.0), Solid(((-1.3, 1.7), (-1.0, 2.1), (-0.3, 2.1), (0.0, 1.9))), Bearing(0.0, 0.9, 1.95))

    def fit(self, request: EndRequest, catalogue: Catalogue) -> Fitting | Misfit:
        """The tee, with a backing plate as an extra part where a new one is requested."""
        fitting = super().fit(request, catalogue)
        if isinstance(fitting, Misfit) or request.end.backing_plate is None:
            return fitting
        plate, known = (each.backing_plate(request.wire.diameter) for each in (catalogue, catalogue.with_discontinued))
        plate_findings = _findings(request, plate, known)
        if plate is None or request.end.backing_plate not in ("replaced", "added"):
            return replace(fitting, findings=(*fitting.findings, *plate_findings))
        joint = join(fitting.face, of_backing_plate(plate))
        if isinstance(joint, Unfit):
            return Misfit((*fitting.findings, misfit(joint, f"{request.name}/backing_plate")))
        part = Part(plate.sku, plate.name, 1, request.name, False, plate.mass_kg)
        return replace(fitting, parts=(*fitting.parts, part), findings=(*fitting.findings, *plate_findings))


def _findings(request: EndRequest, plate: BackingPlate | None, known: BackingPlate | None) -> tuple[Finding, ...]:
    """Findings on the backing plate. `plate` is the one sold now, `known` the one that is or was sold; None if there is none."""
    change, at, end = request.end.backing_plate, f"{request.name}/backing_plate", phrase(f"end.{request.name}")
    if change == "kept":
        return (finding(PLATE_KEPT, at, end=end),)
    if change == "left_away" and known is None:
        return (finding(MOVES_BEARING, at, "left_away_unlisted", end=end),)
    if known is None:
        return (finding(NO_PLATE, at, end=end, size=Size(request.wire.diameter)),)
    if plate is None and change != "left_away":
        return (finding(NO_PLATE, at, "ended", end=end, **discontinued_values(known)),)
    if change == "replaced":
        return ()
    return (finding(MOVES_BEARING, at, str(change), end=end, thickness=Size((plate or known).thickness)),)

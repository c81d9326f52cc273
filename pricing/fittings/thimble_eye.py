"""A thimble eye closed with pressed oval sleeves, for 7x7 and 7x19 wire.

Geometry (Pythagoras, tangent from a point to a circle): the wire lies on a circle of radius R = r + d/2 round the crown's centre; both
legs leave it as tangents toward the sleeve face, a below the centre, where they lie side by side, d apart.
"""

from __future__ import annotations

import math
from decimal import Decimal
from typing import TYPE_CHECKING

from pricing.derivation import Term, term
from pricing.findings import Finding, code, finding
from pricing.fittings.base import Asked, Fitting, Frame, Member, Misfit, Part, Work

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.catalogue.rows import Sleeve, Thimble, Wire

EYE = "thimble eye"
FAMILY, ATTACHMENT = "thimble_eye", "sleeve"
SLEEVE_ON_STRAND = code("sleeve-on-1x19", "stop", "Oval sleeves do not hold on 1x19 strand: it neither bends round a thimble nor grips.")
NO_SLEEVE = code("no-thimble-or-sleeve", "stop", "The catalogue has no thimble or no oval sleeve for that wire.")


def loop_length(groove_radius: float, wire: float, crown_to_sleeve: float) -> float:
    """Wire in the loop beyond the sleeve face, mm: 2t + R·φ. Raises ValueError when the legs cannot reach the sleeve face as tangents."""
    big = groove_radius + wire / 2
    away = math.hypot(crown_to_sleeve, wire / 2)
    if away <= big:
        raise ValueError("the sleeve face lies inside the thimble")
    tangent = math.sqrt(away**2 - big**2)
    wrap = 2 * math.pi - 2 * (math.acos(big / away) + math.atan(wire / (2 * crown_to_sleeve)))
    return 2 * tangent + big * wrap


class ThimbleEye:
    """Bearing: inside of the thimble's crown."""

    name = FAMILY
    attachments: tuple[str, ...] = (ATTACHMENT,)

    def fit(self, asked: Asked, catalogue: Catalogue) -> Fitting | Misfit:
        """Loop, sleeves and tail are wire; bearing to sleeve face is the member."""
        wire, end = asked.wire, asked.name
        if "1x19" in wire.construction:
            return _misfit(
                SLEEVE_ON_STRAND,
                asked,
                "Oval sleeves are refused on 1x19 wire.",
                "Choose 7x7 or 7x19 wire, or a swaged or compression eye.",
            )
        thimble, sleeve = catalogue.thimble(wire.diameter), catalogue.sleeve(wire.construction, wire.diameter)
        if thimble is None or sleeve is None:
            return _misfit(
                NO_SLEEVE, asked, f"No thimble and sleeve for {wire.size} {wire.construction} wire.", "Choose a wire size that has both."
            )
        try:
            taken = _taken(thimble, sleeve, wire, end)
        except ValueError as fault:
            return _misfit(NO_SLEEVE, asked, f"{thimble.sku}: {fault}.", "Correct the thimble's dimensions in the catalogue.")
        return _laid_out(asked, thimble, sleeve, taken)


def _laid_out(asked: Asked, thimble: Thimble, sleeve: Sleeve, taken: tuple[Term, ...]) -> Fitting:
    end, count = asked.name, sleeve.per_eye
    eye = term(
        f"{end} thimble to sleeve face", -(thimble.crown_to_sleeve + thimble.crown_radius), f"catalogue {thimble.sku}",
        "crown's centre to sleeve face, plus the crown's inside radius", to_sleeve=thimble.crown_to_sleeve, crown_radius=thimble.crown_radius,
    )  # fmt: skip
    holds = (asked.wire.break_kn * sleeve.holds_percent / 100).quantize(Decimal("0.01"))
    return Fitting(
        end=end,
        members=(eye,),
        taken=taken,
        clear_of=-eye.mm + count * sleeve.pressed_length + (count - 1) * sleeve.gap,
        frame=Frame("crown", source=f"catalogue {thimble.sku}"),
        parts=(
            Part(thimble.sku, thimble.name, 1, end, asked.end.reuse, thimble.mass_kg, FAMILY, ATTACHMENT),
            Part(sleeve.sku, sleeve.name, count, end, False, sleeve.mass_kg, FAMILY, ATTACHMENT),
        ),
        work=(Work("press", count, end),),
        strength=(Member(f"{end} {EYE}", holds, f"catalogue {sleeve.sku}: holds {sleeve.holds_percent} % of the wire"),),
        sku=thimble.sku,
    )


def _taken(thimble: Thimble, sleeve: Sleeve, wire: Wire, end: str) -> tuple[Term, ...]:
    """Loop, sleeves with the gaps between them, and tail. Raises ValueError from the loop's geometry."""
    loop = loop_length(float(thimble.groove_radius), float(wire.diameter), float(thimble.crown_to_sleeve))
    count = sleeve.per_eye
    return (
        term(
            f"{end} loop round the thimble", loop, f"geometry of {thimble.sku}",
            "two tangents from the sleeve face plus the arc round the groove",
            groove_radius=thimble.groove_radius, wire=wire.diameter, to_sleeve=thimble.crown_to_sleeve,
        ),
        term(
            f"{end} wire in the sleeves", count * sleeve.pressed_length + (count - 1) * sleeve.gap, f"catalogue {sleeve.sku}",
            "pressed length of each sleeve plus the gaps between them", sleeves=count, pressed_length=sleeve.pressed_length, gap=sleeve.gap,
        ),
        term(f"{end} tail", sleeve.tail, f"catalogue {sleeve.sku}", "wire left beyond the last sleeve", tail=sleeve.tail),
    )  # fmt: skip


def _misfit(name: str, asked: Asked, message: str, remedy: str) -> Misfit:
    found: Finding = finding(name, f"{asked.name}/terminal", message, remedy)
    return Misfit((found,))

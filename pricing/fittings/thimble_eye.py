"""A thimble eye closed with pressed oval sleeves, for 7x7 and 7x19 wire.

Geometry (Pythagoras, tangent from a point to a circle): the wire lies on a circle of radius R = r + d/2 around the crown's centre; both
legs leave it as tangents toward the sleeve face, at distance a from the centre, where they lie side by side, d apart.
"""

from __future__ import annotations

import math
from decimal import Decimal
from typing import TYPE_CHECKING

from pricing.derivation import Term, term
from pricing.findings import code, finding
from pricing.fittings.base import EndRequest, Family, Fitting, Frame, Member, Misfit, Part, Work, named
from pricing.fittings.own import origin
from pricing.joints.members import at_end, of_thimble
from pricing.values import Count, Percent, Text, Value, phrase

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.rows import Sleeve, Thimble, Wire

FAMILY, ATTACHMENT = "thimble_eye", "sleeve"
EYE = phrase(f"terminal.{FAMILY}")
SLEEVE_ON_STRAND = code("sleeve-on-1x19", "stop", "Oval sleeves do not hold on 1x19 strand: it neither bends round a thimble nor grips.")
NO_SLEEVE = code("no-thimble-or-sleeve", "stop", "The catalogue has no thimble or no oval sleeve for that wire.")


def loop_length(groove_radius: float, wire: float, crown_to_sleeve: float) -> float:
    """Wire in the loop beyond the sleeve face, mm: 2t + R·φ. Raises ValueError if the legs cannot reach the sleeve face as tangents."""
    big = groove_radius + wire / 2
    away = math.hypot(crown_to_sleeve, wire / 2)
    if away <= big:
        raise ValueError("the sleeve face lies inside the thimble")
    tangent = math.sqrt(away**2 - big**2)
    wrap = 2 * math.pi - 2 * (math.acos(big / away) + math.atan(wire / (2 * crown_to_sleeve)))
    return 2 * tangent + big * wrap


class ThimbleEye(Family):
    """Bearing: the inside of the thimble's crown."""

    name = FAMILY
    label = "Thimble eye with pressed sleeves"
    bears = "Bears on the inside of the thimble's crown."
    side = "crown"
    attachments = (ATTACHMENT,)
    listed = False  # thimbles and sleeves have tables of their own

    def fit(self, request: EndRequest, catalogue: Catalogue) -> Fitting | Misfit:
        """Loop, sleeves and tail are wire; the length from bearing to sleeve face is the member."""
        wire, end = request.wire, request.name
        if "1x19" in wire.construction:
            return _misfit(SLEEVE_ON_STRAND, request, construction=phrase(f"construction.{wire.construction}"))
        thimble = catalogue.of_part(kept=request.end.reuse).thimble(wire.diameter, wire.material)
        sleeve = catalogue.sleeve(wire.construction, wire.diameter, wire.material)
        if thimble is None or sleeve is None:
            return _misfit(NO_SLEEVE, request, "none", **named(wire))
        try:
            taken = _taken(thimble, sleeve, wire, end)
        except ValueError:
            return _misfit(NO_SLEEVE, request, "impossible", thimble=Text(thimble.sku))
        return _laid_out(request, thimble, sleeve, taken)


def _laid_out(request: EndRequest, thimble: Thimble, sleeve: Sleeve, taken: tuple[Term, ...]) -> Fitting:
    end, count = request.name, sleeve.per_eye
    eye = term(
        "thimble", -(thimble.crown_to_sleeve + thimble.crown_radius), origin(thimble.sku), end, to_sleeve=thimble.crown_to_sleeve, crown_radius=thimble.crown_radius,
    )  # fmt: skip
    holds = (request.wire.break_kn * sleeve.holds_percent / 100).quantize(Decimal("0.01"))
    return Fitting(
        end=end,
        members=(eye,),
        taken=taken,
        clear_of=-eye.mm + count * sleeve.pressed_length + (count - 1) * sleeve.gap,
        frame=Frame("crown", source=origin(thimble.sku)),
        parts=(
            Part(thimble.sku, thimble.name, 1, end, request.end.reuse, thimble.mass_kg, FAMILY, ATTACHMENT),
            Part(sleeve.sku, sleeve.name, count, end, False, sleeve.mass_kg, FAMILY, ATTACHMENT),
        ),
        work=(Work("press", count, end),),
        strength=(Member(at_end(EYE, end), holds, phrase("source.holds", sku=Text(sleeve.sku), share=Percent(sleeve.holds_percent))),),
        face=of_thimble(thimble, end),
        sku=thimble.sku,
        family=FAMILY,
        sizes=_sizes(thimble, sleeve, request.wire),
    )


def _sizes(thimble: Thimble, sleeve: Sleeve, wire: Wire) -> tuple[tuple[str, Decimal], ...]:
    count = sleeve.per_eye
    pressed = count * sleeve.pressed_length + (count - 1) * sleeve.gap
    return (
        ("crown_radius", thimble.crown_radius), ("to_sleeve", thimble.crown_to_sleeve), ("groove_radius", thimble.groove_radius),
        ("wire", wire.diameter), ("sleeves", Decimal(count)), ("pressed_length", sleeve.pressed_length), ("gap", sleeve.gap),
        ("covered", pressed + sleeve.tail),
    )  # fmt: skip


def _taken(thimble: Thimble, sleeve: Sleeve, wire: Wire, end: str) -> tuple[Term, ...]:
    """Loop, sleeves with the gaps between them, and tail. Raises ValueError if the loop's geometry is impossible."""
    loop = loop_length(float(thimble.groove_radius), float(wire.diameter), float(thimble.crown_to_sleeve))
    return (
        term(
            "loop", loop, phrase("source.geometry", sku=Text(thimble.sku)), end,
            groove_radius=thimble.groove_radius, wire=wire.diameter, to_sleeve=thimble.crown_to_sleeve,
        ),
        *sleeved(sleeve, end),
    )  # fmt: skip


def sleeved(sleeve: Sleeve, end: str) -> tuple[Term, Term]:
    """Wire under the sleeves with the gaps between them, and the tail beyond."""
    count = sleeve.per_eye
    pressed = count * sleeve.pressed_length + (count - 1) * sleeve.gap
    return (
        term(
            "wire-in-sleeves", pressed, origin(sleeve.sku), end, sleeves=Count(count), pressed_length=sleeve.pressed_length, gap=sleeve.gap
        ),
        term("tail", sleeve.tail, origin(sleeve.sku), end, tail=sleeve.tail),
    )


def _misfit(name: str, request: EndRequest, wording: str = "", **values: Value) -> Misfit:
    return Misfit((finding(name, f"{request.name}/terminal", wording, **values),))

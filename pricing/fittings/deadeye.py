"""A wire's end turned round a deadeye and closed with pressed oval sleeves, for 7x7 and 7x19 wire. The deadeye is the customer's own.

The wire lies in a groove round the deadeye's rim and pulls on its far side, away from the wire: there, at the bottom of the groove, is the
bearing. Geometry as for a thimble eye (`thimble_eye.loop_length`), with the measured groove in place of a thimble's. A seizing is worked by
hand: how much wire it takes and how it beds in is not computed.
"""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from pricing.derivation import Term, term
from pricing.findings import Finding, code, finding
from pricing.fittings.base import EndRequest, Family, Fitting, Frame, Member, Misfit, Part, Work, named
from pricing.fittings.own import OWN, OWN_INCOMPLETE, OWN_STRENGTH, not_kept, origin
from pricing.fittings.thimble_eye import NO_SLEEVE, SLEEVE_ON_STRAND, loop_length, sleeved
from pricing.joints import Face
from pricing.joints.members import at_end
from pricing.values import Length, Percent, Size, Text, phrase, phrases

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.measurement.assembly import OwnTerminal
    from pricing.rows import Sleeve, Wire

FAMILY = "deadeye"
DEADEYE = phrase(f"terminal.{FAMILY}")
OWN_DEADEYE = f"{OWN}-DEADEYE"
SEIZED = code(
    "seized-by-hand", "stop", "A loop round a deadeye that is seized is finished by hand: the wire that the seizings take is not computed."
)
DOES_NOT_FIT = code("deadeye-does-not-fit", "stop", "A deadeye's measured dimensions cannot be those of a loop of this wire round it.")
NOT_HERE = code(
    "deadeye-not-sent-in", "ask", "A loop is pressed round a deadeye, and it was not stated that the deadeye is sent to the shop."
)
STEP = 0.5  # mm, half of the step over which a dimension's effect is taken


class Deadeye(Family):
    """Bearing: the bottom of the groove, on the side away from the wire."""

    name = FAMILY
    label = "Loop round a deadeye"
    bears = "Bears on the bottom of the deadeye's groove, on the side away from the wire."
    side = "deadeye"
    attachments = ("sleeve", "seizing")
    listed = False
    own = ("groove", "to_sleeve", "thickness")

    def fit(self, request: EndRequest, catalogue: Catalogue) -> Fitting | Misfit:
        """Loop, sleeves and tail are wire; the length from bearing to sleeve face is the member."""
        wire, end, own = request.wire, request.name, request.end.dimensions
        if own is not None and not request.end.reuse:
            return not_kept(end)
        missing = [each for each in self.own if own is None or getattr(own, each) is None]
        if own is None or own.groove is None or own.to_sleeve is None or missing:
            lacks = phrases(f"dimension.{each}" for each in missing)
            at = f"{end}/dimensions" if own else f"{end}/terminal"
            return Misfit((finding(OWN_INCOMPLETE, at, "deadeye", part=phrase(f"kept_terminal.{FAMILY}"), missing=lacks),))
        if "1x19" in wire.construction:
            return Misfit((finding(SLEEVE_ON_STRAND, f"{end}/terminal", construction=phrase(f"construction.{wire.construction}")),))
        loop = _loop(own, wire, end)
        if isinstance(loop, Finding):
            return Misfit((loop,))
        if request.end.attachment == "seizing":
            return Misfit((finding(SEIZED, f"{end}/attachment", end=phrase(f"end.{end}"), loop=Length(loop.mm)),))
        sleeve = catalogue.sleeve(wire.construction, wire.diameter, wire.material)
        if sleeve is None:
            return Misfit((finding(NO_SLEEVE, f"{end}/terminal", "deadeye", **named(wire)),))
        return _laid_out(request, own, sleeve, loop)


def effects(own: OwnTerminal, wire: Decimal) -> tuple[float, float]:
    """The change in cut length per mm of groove diameter and per mm of distance to the sleeve; (0, 0) if they do not form a loop.

    It is the change in the wire taken by the loop, less that in the length from bearing to sleeve face. `wire` is a diameter in mm.
    """
    if own.groove is None or own.to_sleeve is None:
        return 0.0, 0.0
    radius, away, d = float(own.groove) / 2, float(own.to_sleeve), float(wire)
    try:
        of_radius = loop_length(radius + STEP, d, away) - loop_length(radius - STEP, d, away)
        of_away = loop_length(radius, d, away + STEP) - loop_length(radius, d, away - STEP)
    except ValueError:
        return 0.0, 0.0
    return (of_radius / (2 * STEP) - 1) / 2, of_away / (2 * STEP) - 1


def _loop(own: OwnTerminal, wire: Wire, end: str) -> Term | Finding:
    groove, away, thick = own.groove or Decimal(0), own.to_sleeve or Decimal(0), own.thickness or Decimal(0)
    if thick <= wire.diameter:
        values = {"thick": Size(thick), "wire": Size(wire.diameter)}
        return finding(DOES_NOT_FIT, f"{end}/dimensions/thickness", "thin", **values)
    try:
        mm = loop_length(float(groove) / 2, float(wire.diameter), float(away))
    except ValueError:
        return finding(DOES_NOT_FIT, f"{end}/dimensions/to_sleeve", "short", away=Length(away), groove=Length(groove))
    return term("loop", mm, origin(OWN_DEADEYE), end, "deadeye", groove_radius=groove / 2, wire=wire.diameter, to_sleeve=away)


def _laid_out(request: EndRequest, own: OwnTerminal, sleeve: Sleeve, loop: Term) -> Fitting:
    end, count, wire = request.name, sleeve.per_eye, request.wire
    radius, away = (own.groove or Decimal(0)) / 2, own.to_sleeve or Decimal(0)
    pressed = count * sleeve.pressed_length + (count - 1) * sleeve.gap
    member = term("deadeye", -(away + radius), origin(OWN_DEADEYE), end, to_sleeve=away, groove_radius=radius)
    holds = (wire.break_kn * sleeve.holds_percent / 100).quantize(Decimal("0.01"))
    findings = [finding(OWN_STRENGTH, f"{end}/dimensions", "terminal", part=phrase(f"kept_terminal.{FAMILY}"))]
    if request.end.sent_in is not True:
        findings.append(finding(NOT_HERE, f"{end}/terminal", end=phrase(f"end.{end}")))
    return Fitting(
        end=end,
        members=(member,),
        taken=(loop, *sleeved(sleeve, end)),
        clear_of=away + radius + pressed,
        frame=Frame("plain", source=origin(OWN_DEADEYE)),
        parts=(
            Part(OWN_DEADEYE, "Customer's own deadeye", 1, end, True, Decimal(0), FAMILY, "sleeve"),
            Part(sleeve.sku, sleeve.name, count, end, False, sleeve.mass_kg, FAMILY, "sleeve"),
        ),
        work=(Work("press", count, end),),
        strength=(Member(at_end(DEADEYE, end), holds, phrase("source.holds", sku=Text(sleeve.sku), share=Percent(sleeve.holds_percent))),),
        findings=tuple(findings),
        face=Face("deadeye", at_end(DEADEYE, end)),
        sku=OWN_DEADEYE,
        family=FAMILY,
        sizes=(
            ("crown_radius", radius), ("to_sleeve", away), ("groove_radius", radius), ("wire", wire.diameter), ("sleeves", Decimal(count)),
            ("pressed_length", sleeve.pressed_length), ("gap", sleeve.gap), ("covered", pressed + sleeve.tail),
        ),
    )  # fmt: skip

"""A terminal kept and measured by the customer: it takes the place of a catalogue row, with its own uncertainty.

Only a terminal that can be taken off its wire can be kept, so a swaged one cannot.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import TYPE_CHECKING

from pricing.findings import Finding, code, finding
from pricing.fittings.base import Misfit
from pricing.rows import Terminal
from pricing.values import Phrase, Text, Value, phrase, phrases

if TYPE_CHECKING:
    from pricing.fittings.base import EndRequest, Family
    from pricing.measurement.assembly import OwnTerminal

OWN_INCOMPLETE = code(
    "own-fitting-incomplete", "stop", "A fitting that is kept was measured in part: a dimension that the length needs is missing."
)
OWN_STRENGTH = code(
    "own-strength-unknown", "ask", "The strength of a fitting that is kept is not known; it was left out of the weakest-member check."
)
STRENGTH_TAKEN = code(
    "kept-strength-as-catalogue", "note", "The strength of a part that is kept was taken from its look-alike in the catalogue."
)
OWN_WITHIN = code(
    "own-within-assumed",
    "note",
    "The accuracy to which a kept fitting was measured was not given; a caliper's ± 0.2 mm was assumed.",
    assumption=True,
)
REUSED_AS_CATALOGUE = code(
    "reused-as-catalogue", "note", "A kept part's dimensions were taken from the catalogue; they cancel in the length."
)
SWAGED_KEPT = code("swaged-terminal-kept", "stop", "A swaged terminal cannot be taken off its old wire and used again.")
NOT_KEPT = code("dimensions-of-a-new-part", "stop", "Measured dimensions were given for a part that is not kept.")
OWN = "OWN"
OWN_SOURCE = "measured by the customer"
CALIPER = Decimal("0.2")
UNKNOWN_STRENGTH = Decimal("Infinity")
ALIKE = Decimal("0.5")  # mm within which a measured dimension counts as the catalogue's: common practice, no source


def not_kept(at: str) -> Misfit:
    """The misfit for dimensions given without `reuse`."""
    return Misfit((finding(NOT_KEPT, f"{at}/dimensions"),))


def kept_swage(request: EndRequest) -> Misfit | None:
    """The misfit for a swaged terminal that is to be kept, or None."""
    if not (request.end.reuse and request.end.attachment == "swage"):
        return None
    return Misfit((finding(SWAGED_KEPT, f"{request.name}/reuse", end=phrase(f"end.{request.name}")),))


def own_terminal(
    family: Family, request: EndRequest, own: OwnTerminal, catalogue_row: Terminal | None
) -> tuple[Terminal, tuple[Finding, ...]] | Misfit:
    """The measured terminal in the form of a catalogue row, with findings; a Misfit if a required dimension is missing.

    Pin and thread come from the end; jaw and hole as measured, else from a matching catalogue row.
    """
    end, name, part = request.end, request.name, phrase(f"kept_terminal.{request.end.terminal}")
    missing = [field for field in family.own if getattr(own, field) is None]
    threaded = "thread" in family.asks
    thread = end.thread or request.turnbuckle_thread
    if threaded and thread is None:
        missing.append("thread")
    if "pin" in family.asks and end.pin is None and catalogue_row is None:
        missing.append("pin")
    if missing or own.reach is None or own.depth is None:
        lacks = phrases(f"dimension.{each}" for each in missing)
        return Misfit((finding(OWN_INCOMPLETE, f"{name}/dimensions", "terminal", part=part, missing=lacks),))
    row = catalogue_row
    known = row is not None and alike([(own.reach, row.reach), (own.depth, row.depth), (own.thread_length, row.thread_length)], own.within)
    findings = () if known else (finding(OWN_STRENGTH, f"{name}/dimensions", "terminal", part=part),)
    return (
        Terminal(
            sku=f"{OWN}-{end.terminal.upper()}", name=f"Customer's own {family.words}", family=end.terminal, attachment=end.attachment or "",
            constructions=(request.wire.construction,), wire_sizes=(request.wire.diameter,), reach=own.reach, depth=own.depth, growth=Decimal(0),
            growth_u=Decimal(0), shank_before=None, bore=None, shank_after=None, swaged_length=None, pin=row.pin if row else end.pin,
            hole=own.hole or (row.hole if row else None), tip=own.tip, jaw=own.jaw or (row.jaw if row else None),
            thread=thread if threaded else None, hand=(end.hand or request.turnbuckle_hand or "right") if threaded else None,
            thread_length=own.thread_length, plain_tip=own.plain_tip or Decimal(0), ball=row.ball if row else None, slot=row.slot if row else None,
            break_kn=row.break_kn if known and row else UNKNOWN_STRENGTH, mass_kg=Decimal(0), source=OWN_SOURCE,
            cotter_hole=row.cotter_hole if row else None, cotter_at=row.cotter_at if row else None,
            jaw_over=own.jaw_over or (row.jaw_over if row else None), tongue=own.tongue or (row.tongue if row else None),
        ),
        findings,
    )  # fmt: skip


def alike(pairs: Iterable[tuple[Decimal | None, Decimal | None]], within: Decimal | None) -> bool:
    """Whether all measured dimensions match the catalogue's within the accuracy of measurement.

    If not, it is another article, of unknown strength.
    """
    near = max(within or CALIPER, ALIKE)
    return all(own is None or (row is not None and abs(own - row) <= near) for own, row in pairs)


def strength_taken(at: str, part: Phrase) -> tuple[Finding, ...]:
    """A note that the strength of a measured kept part was taken from a matching article in the catalogue."""
    return (finding(STRENGTH_TAKEN, at, part=part),)


def strength_origin(sku: str) -> Value:
    """The origin of a strength, which cannot be measured on a kept part."""
    return phrase("source.look_alike") if sku.startswith(OWN) else origin(sku)


def origin(sku: str) -> Value:
    """The origin of a dimension."""
    return phrase("source.customer") if sku.startswith(OWN) else catalogue_row(sku)


def catalogue_row(sku: str) -> Value:
    """A row of the catalogue as an origin."""
    return phrase("source.catalogue", sku=Text(sku))

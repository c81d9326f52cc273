"""A terminal that the customer keeps and has measured: it stands in the place of a catalogue row, with its own uncertainty.

Only what can be taken off a wire can be kept: a swaged terminal cannot.
"""

from __future__ import annotations

import math
from decimal import Decimal
from typing import TYPE_CHECKING

from pricing.catalogue.rows import Terminal
from pricing.findings import Finding, code, finding
from pricing.fittings.base import Doubt, Misfit

if TYPE_CHECKING:
    from pricing.assembly import OwnTerminal
    from pricing.fittings.base import Asked

OWN_INCOMPLETE = code(
    "own-fitting-incomplete", "stop", "A fitting that is kept was measured in part: a dimension that the length needs is missing."
)
OWN_STRENGTH = code(
    "own-strength-unknown", "ask", "The strength of a fitting that is kept is not known; it was left out of the weakest-member check."
)
OWN_WITHIN = code("own-within-assumed", "note", "How closely a kept fitting was measured was not said; a caliper's ± 0.2 mm was assumed.")
REUSED_AS_CATALOGUE = code("reused-as-catalogue", "note", "A kept part's dimensions were taken from the catalogue, not measured.")
SWAGED_KEPT = code("swaged-terminal-kept", "stop", "A swaged terminal cannot be taken off its old wire and used again.")
NOT_KEPT = code("dimensions-of-a-new-part", "stop", "Measured dimensions were given for a part that is not kept.")
OWN = "OWN"
OWN_SOURCE = "measured by the customer"
CALIPER = Decimal("0.2")
UNKNOWN_STRENGTH = Decimal("Infinity")
_NEEDED = {
    "fork": ("reach", "depth"),
    "eye": ("reach", "depth"),
    "toggle": ("reach", "depth"),
    "stud": ("reach", "depth", "thread_length"),
}


def not_kept(at: str) -> Misfit:
    """Dimensions without `reuse`."""
    message = "Dimensions were given, but the part is not said to be kept."
    return Misfit((finding(NOT_KEPT, f"{at}/dimensions", message, "Say `reuse`: true if it is kept; else leave the dimensions out."),))


def as_catalogue(at: str, what: str) -> tuple[Finding, ...]:
    """A kept part that was not measured is taken to be the catalogue's."""
    message = f"The kept {what} was taken to have the catalogue's dimensions."
    return (finding(REUSED_AS_CATALOGUE, at, message, "Measure it against the derivation before cutting, or give its `dimensions`."),)


def kept_swage(asked: Asked) -> Misfit | None:
    """A swaged terminal said to be kept."""
    if not (asked.end.reuse and asked.end.attachment == "swage"):
        return None
    message = f"The {asked.name} terminal is swaged: it stays on its old wire."
    return Misfit(
        (
            finding(
                SWAGED_KEPT,
                f"{asked.name}/reuse",
                message,
                "Take a new swaged terminal, or a compression terminal that can be fitted again.",
            ),
        )
    )


def own_terminal(asked: Asked, own: OwnTerminal, catalogue_row: Terminal | None) -> tuple[Terminal, tuple[Finding, ...]] | Misfit:
    """The measured terminal as a row. Pin and thread come from the end; jaw and hole where measured, else from a catalogue row that fits."""
    end, name = asked.end, asked.name
    needed = _NEEDED.get(end.terminal, ("reach", "depth"))
    missing = [field for field in needed if getattr(own, field) is None]
    thread = end.thread or asked.turnbuckle_thread
    if end.terminal == "stud" and thread is None:
        missing.append("thread")
    if end.terminal in ("fork", "eye", "toggle") and end.pin is None and catalogue_row is None:
        missing.append("pin")
    if missing or own.reach is None or own.depth is None:
        message = f"The kept {end.terminal} lacks: {', '.join(missing)}."
        return Misfit((finding(OWN_INCOMPLETE, f"{name}/dimensions", message, "Measure what is missing on the kept fitting."),))
    said = [
        finding(
            OWN_STRENGTH,
            f"{name}/dimensions",
            f"The kept {end.terminal}'s strength is not known.",
            "Have it inspected by a rigger, or replace it.",
        )
    ]
    if own.within is None:
        said.append(finding(OWN_WITHIN, f"{name}/dimensions", "± 0.2 mm was assumed for the kept fitting.", "Say `within`."))
    row = catalogue_row
    return (
        Terminal(
            sku=f"{OWN}-{end.terminal.upper()}", name=f"Customer's own {end.terminal}", family=end.terminal, attachment=end.attachment or "",
            constructions=(asked.wire.construction,), wire_sizes=(asked.wire.diameter,), reach=own.reach, depth=own.depth, growth=Decimal(0),
            growth_u=Decimal(0), shank_before=None, bore=None, shank_after=None, swaged_length=None, pin=end.pin or (row.pin if row else None),
            hole=own.hole or (row.hole if row else None), tip=own.tip, jaw=own.jaw or (row.jaw if row else None),
            thread=thread if end.terminal == "stud" else None, hand=(end.hand or asked.turnbuckle_hand or "right") if end.terminal == "stud" else None,
            thread_length=own.thread_length, plain_tip=own.plain_tip or Decimal(0), ball=row.ball if row else None, slot=row.slot if row else None,
            break_kn=UNKNOWN_STRENGTH, mass_kg=Decimal(0), source=OWN_SOURCE,
        ),
        tuple(said),
    )  # fmt: skip


def own_doubt(what: str, within: Decimal | None) -> Doubt:
    """A kept fitting's dimensions as one rectangle of half-width `within`, mm."""
    return Doubt(what, float(within or CALIPER) / math.sqrt(3), None, "measure the kept fitting with a caliper, more than once")


def origin(sku: str) -> str:
    """Where a dimension comes from, in words."""
    return OWN_SOURCE if sku.startswith(OWN) else f"catalogue {sku}"

"""The mating faces of terminals, screws, links and the boat's fittings, from their rows or as given in the request."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from pricing.joints.faces import Face
from pricing.values import Phrase, Text, phrase

if TYPE_CHECKING:
    from pricing.measurement.assembly import BoatFitting
    from pricing.rows import BackingPlate, Link, Screw, Terminal, Thimble

TONGUES = ("eye",)
SIDES_OF = {
    "toggle": ("jaw", "tongue"), "shackle": ("pin", "bow"), "insulator": ("tongue", "tongue"), "bridle_plate": ("tongue", "tongue"),
    "gate_hook": ("hook", "tongue"),
}  # fmt: skip
BETWEEN_WIRES = tuple(kind for kind, sides in SIDES_OF.items() if sides == ("tongue", "tongue"))
HOLES = {"bridle_plate": 2}  # outer holes of a link, where it has more than one
BARE = Face("bare", phrase("terminal.none"))


def at_end(part: Phrase | Text, end: str) -> Phrase:
    """The name of a part that includes its end of the wire, such as upper fork."""
    return phrase("member.at_end", part=part, end=phrase(f"end.{end}"))


def on_turnbuckle(screw_end: str) -> Phrase:
    """The name of the fitting on a turnbuckle's screw."""
    return phrase("member.on_turnbuckle", part=phrase(f"screw_end.{screw_end}"))


def jaw(of: Phrase, row: Terminal | Screw | Link, *, kept: bool) -> Face:
    """The two cheeks of a fork or toggle. In a row without `jaw_over`, `jaw` is the width the pin spans; the inside width is unknown."""
    inside, over = (row.jaw, row.jaw_over) if row.jaw_over is not None else (None, row.jaw)
    return Face("jaw", of, row.pin, row.hole, inside=inside, over=over, brings=True, kept=kept)


def of_terminal(kind: str, row: Terminal, end: str, *, kept: bool = False) -> Face:
    """A terminal's face toward the load, of its family's kind."""
    of = at_end(phrase(f"terminal.{row.family}"), end)
    if kind == "jaw":
        return jaw(of, row, kept=kept)
    if kind == "tongue":
        return Face("tongue", of, row.pin, row.hole, row.tongue)
    return Face(kind, of, thick=row.shank_after) if kind == "cross_bar" else Face(kind, of)


def of_backing_plate(row: BackingPlate) -> Face:
    """The slot of a backing plate."""
    return Face("slot", phrase("part.backing_plate"), inside=row.slot)


def of_thimble(row: Thimble, end: str) -> Face:
    """A thimble's crown. Without a largest pin in the table, the crown's inside diameter is used."""
    largest = 2 * row.crown_radius if row.largest_pin is None else row.largest_pin
    return Face("crown", at_end(phrase("terminal.thimble_eye"), end), hole=largest, thick=row.width)


def of_screw(row: Screw, *, kept: bool) -> Face:
    """The fitting on a turnbuckle's own screw."""
    of = on_turnbuckle(row.end)
    return Face("tongue", of, row.pin, row.hole, row.tongue) if row.end in TONGUES else jaw(of, row, kept=kept)


def of_link(row: Link, end: str, side: str, *, kept: bool, outward: bool = False) -> Face:
    """One side of a link: a jaw or tongue, a shackle's pin or bow, a gate hook's hook."""
    of = at_end(phrase(f"link.{row.kind}"), end)
    if side == "jaw":
        return jaw(of, row, kept=kept)
    if side == "tongue" and row.kind in BETWEEN_WIRES:
        return Face("tongue", of, row.pin, row.hole, row.tongue) if outward else Face("tongue", of, None, row.inner_hole, row.tongue)
    if side == "tongue":
        return Face("tongue", of, row.pin, row.inner_hole, row.tongue)
    if side == "hook":
        return Face("hook", of, thick=row.bow, inside=row.bow_inside)
    wide = row.jaw if row.bow is not None else None  # in an earlier edition, `jaw` is the width the pin spans
    return Face("pin", of, row.pin, inside=wide) if side == "pin" else Face("bow", of, thick=row.bow, inside=row.bow_inside)


def way_round(kind: str, inner: Face, outer_side: str | None) -> tuple[str, str]:
    """(inward face, outward face) of a link: as given, else the way that fits (a toggle's tongue in a jaw or shackle, its jaw over the rest)."""
    sides = SIDES_OF[kind]
    if outer_side is None:
        turned = inner.kind not in ("jaw", "pin", "bow") if kind == "toggle" else False
        outer_side = sides[1] if turned else sides[0]
    return (sides[0] if outer_side == sides[1] else sides[1]), outer_side


_BOATS = {
    "plate": "tongue",
    "row_of_holes": "tongue",
    "cheeks": "jaw",
    "ring": "ring",
    "slot": "slot",
    "socket": "socket",
    "hook": "hook",
    "lashing": "lashing",
}


def of_boat(boat_fitting: BoatFitting, end: str, *, hole_stays: bool) -> Face:
    """The boat's face toward an end; a hole to be redrilled has no size yet."""
    kind = _BOATS.get(boat_fitting.kind, boat_fitting.kind)
    of = phrase("member.on_boat", part=phrase(f"boat_fitting.{boat_fitting.kind}"), end=phrase(f"end.{end}"))
    hole = boat_fitting.hole if hole_stays else None
    over = None if boat_fitting.width is None or boat_fitting.thickness is None else boat_fitting.width + 2 * boat_fitting.thickness
    brings = kind == "jaw" and boat_fitting.pin_from == "assembly"
    thick = None if kind == "jaw" else boat_fitting.thickness
    return Face(kind, of, None, hole, thick, boat_fitting.width, over, brings=brings, boat=True, drilled=not hole_stays)


def thread(end: str, diameter: Decimal | None) -> Face:
    """A stud's threaded rod."""
    return Face("thread", at_end(phrase("terminal.stud"), end), pin=diameter)

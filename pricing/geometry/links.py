"""Toggles, shackles and other links between a terminal (or turnbuckle) and the load, outermost last: the new chain and the old one.

Each link is kept, replaced, added (there was none) or left away (there will be none). `pricing.joints` decides which faces mate and by how
much lengths overlap; for an old link, only kind, pin and length are needed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.derivation import MEASURED, Term, term
from pricing.findings import Finding, code, finding
from pricing.fittings.base import Frame, Member, Misfit, Part
from pricing.fittings.choose import SKU_MISFIT, by_pin, not_exact
from pricing.fittings.own import OWN, not_kept, origin, strength_origin, strength_taken
from pricing.joints import Face, Joint, Unfit, join, suits
from pricing.joints.findings import JOINT_MISFIT, misfit
from pricing.joints.members import BETWEEN_WIRES, SIDES_OF, at_end, of_link, way_round
from pricing.values import Size, Text, Value, phrase, phrases

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.measurement.assembly import Link
    from pricing.rows import Link as LinkRow

LINK_PIN_MISSING = code("link-pin-missing", "stop", "A link hangs where no pin is known, and its own pin was not given.")
NO_LINK = code("no-link-for-pin", "stop", "The catalogue has no such link for that pin.")
NO_JOINT = code("link-has-no-joint", "stop", "A link was put on an end that has no pin hole to hang it on.")
TOGGLE_TWICE = code(
    "toggle-said-twice", "ask", "A toggle was given as hanging on a toggle: as the turnbuckle's or the wire's own end, and again as a link."
)
HANGS_ON = ("jaw", "tongue", "crown", "pin", "bow")


class Inner(NamedTuple):
    """What the first link hangs on: `of` is `turnbuckle` or `terminal`, `kind` its end fitting, `kept` whether it is reused."""

    of: str
    kind: str
    kept: bool


class OldLink(NamedTuple):
    """A link of the old rig.

    `length` is in mm, None if unknown; `overlap` is what its inner joint took off, `face` its mating face toward the load.
    """

    place: int
    kind: str
    length: Decimal | None
    overlap: Decimal
    frame: Frame
    source: Value
    face: Face


class NewLink(NamedTuple):
    """A link of the new chain, mm: `overlap` is what its inner joint takes off."""

    kind: str
    sku: str
    name: str
    kept: bool
    length: Decimal
    overlap: Decimal


@dataclass(frozen=True, slots=True)
class Joined:
    """A chain of links as built so far: the outermost face and frame, and everything the links contribute.

    In `terms`, lengths are negative and joint overlaps positive. `old` is the old chain, `new` the new one.
    """

    face: Face
    frame: Frame
    terms: tuple[Term, ...] = ()
    joints: tuple[Joint, ...] = ()
    parts: tuple[Part, ...] = ()
    strength: tuple[Member, ...] = ()
    findings: tuple[Finding, ...] = ()
    old: tuple[OldLink, ...] = ()
    new: tuple[NewLink, ...] = ()


def stays(link: Link) -> bool:
    """Whether the customer keeps the link."""
    return link.change == "kept" or (link.change is None and link.reuse)


def join_links(end: str, links: tuple[Link, ...], inner: Joined, catalogue: Catalogue) -> Joined | Misfit:
    """Add the links of an end, outward from `inner`, which has none yet. A Misfit if a face does not mate with its neighbour's."""
    chain = inner
    for place, link in enumerate(links):
        if link.change == "left_away":
            continue
        extended = _add_link(f"{end}/links/{place}", end, link, chain, catalogue)
        if isinstance(extended, Misfit):
            return extended
        chain = extended
    old = _old(end, links, inner, catalogue)
    return old if isinstance(old, Misfit) else replace(chain, old=old)


def _add_link(at: str, end: str, link: Link, chain: Joined, catalogue: Catalogue) -> Joined | Misfit:
    """Add one more link to the chain."""
    row = _choose(at, end, link, chain.face, catalogue)
    if isinstance(row, Misfit):
        return row
    inward, outward = way_round(row.kind, chain.face, link.outer_side)
    kept = stays(link) or link.reuse
    joint = join(chain.face, of_link(row, end, inward, kept=kept))
    if isinstance(joint, Unfit):
        return Misfit((misfit(joint, at),))
    length = term("link", -row.length, origin(row.sku), end, link=phrase(f"link.{row.kind}"), length=row.length)
    through = term("pin-through-link", joint.overlap, origin(row.sku), end, link=phrase(f"link.{row.kind}"), pin=joint.overlap)
    overlap = (through,) if joint.overlap else ()
    return Joined(
        of_link(row, end, outward, kept=kept, outward=True),
        _frame(row, outward),
        (*chain.terms, length, *overlap),
        (*chain.joints, joint),
        (*chain.parts, Part(row.sku, row.name, 1, end, kept, row.mass_kg)),
        (*chain.strength, Member(at_end(phrase(f"link.{row.kind}"), end), row.break_kn, strength_origin(row.sku))),
        (*chain.findings, *not_exact(row.pin, link.pin, at), *_strength(at, row)),
        new=(*chain.new, NewLink(row.kind, row.sku, row.name, kept, row.length, joint.overlap)),
    )


def _frame(row: LinkRow, outward: str) -> Frame:
    """The frame of a link.

    A reversed toggle has its tongue toward the load, a reversed shackle its bow; how far a tongue's tip extends beyond its hole is
    unknown.
    """
    source = origin(row.sku)
    if outward == "pin":
        return Frame("shackle", pin=row.pin, source=source)
    if outward == "bow":
        return Frame("bow", pin=row.pin, source=source)
    if outward == "hook":
        return Frame("plain", source=source)
    if outward == "tongue" and row.kind == "toggle":
        return Frame("hole", pin=row.pin, hole=row.inner_hole, source=source)
    return Frame("hole", pin=row.pin, hole=row.hole, tip=row.tip, source=source)


def _choose(at: str, end: str, link: Link, inner: Face, catalogue: Catalogue) -> LinkRow | Misfit:
    part = at_end(phrase(f"link.{link.kind}"), end)
    if inner.kind not in HANGS_ON:
        return Misfit((finding(NO_JOINT, at, part=part),))
    if link.outer_side is not None and link.outer_side not in SIDES_OF[link.kind]:
        sides, side = phrases(f"face.{each}" for each in SIDES_OF[link.kind]), phrase(f"face.{link.outer_side}")
        return Misfit((finding(JOINT_MISFIT, f"{at}/outer_side", "side", part=part, side=side, sides=sides),))
    wanted = link.pin or inner.pin
    known = catalogue.with_discontinued.links(link.kind)
    rows = catalogue.of_part(kept=stays(link) or link.reuse).links(link.kind)
    if link.sku is not None:
        rows = tuple(row for row in rows if row.sku == link.sku)
        if rows:
            return _measured(at, link, rows[0])
        return Misfit((finding(SKU_MISFIT, f"{at}/sku", "link", sku=Text(link.sku), link=phrase(f"link.{link.kind}")),))
    if wanted is None:
        return Misfit((finding(LINK_PIN_MISSING, at, part=part),))
    row = _of_pin(rows, link, inner.pin, known)
    if row is not None:
        return _measured(at, link, row)
    return Misfit((finding(NO_LINK, at, link=phrase(f"link.{link.kind}"), pin=Size(wanted)),))


def _of_pin(rows: tuple[LinkRow, ...], link: Link, inner: Decimal | None, known: tuple[LinkRow, ...]) -> LinkRow | None:
    """The row with the link's own pin, else with its neighbour's. A bridle plate without a pin is found by its upper hole: its pins are its legs'."""
    if link.kind == "bridle_plate" and link.pin is None:
        near = [(row.inner_hole - inner, row.pin) for row in known if inner and row.inner_hole and suits(inner, row.inner_hole)]
        return (
            next((row for row in rows if (row.inner_hole, row.pin) == (min(near)[0] + (inner or 0), min(near)[1])), None) if near else None
        )
    pin = link.pin or inner
    return None if pin is None else by_pin(rows, pin, known)


def _measured(at: str, link: Link, row: LinkRow) -> LinkRow | Misfit:
    """The row, with a kept link's measured dimensions in place of the catalogue's. A Misfit for dimensions of a link that is not kept."""
    if link.dimensions is not None and not (link.reuse or stays(link)):
        return not_kept(at)
    return _with_own(link, row)


def _with_own(link: Link, row: LinkRow) -> LinkRow:
    own, length = link.dimensions, link.old_length if stays(link) else None
    if own is None or not (link.reuse or stays(link)):
        return row if length is None else replace(row, sku=f"{OWN}-{row.sku}", length=length)
    return replace(
        row, sku=f"{OWN}-{row.sku}", length=own.length or length or row.length, inner_hole=own.inner_hole or row.inner_hole,
        hole=own.hole or row.hole, jaw=own.jaw or row.jaw, jaw_over=own.jaw_over or row.jaw_over, tongue=own.tongue or row.tongue,
        bow=own.bow or row.bow,
    )  # fmt: skip


def _strength(at: str, row: LinkRow) -> tuple[Finding, ...]:
    return strength_taken(at, phrase(f"kept_link.{row.kind}")) if row.sku.startswith(OWN) else ()


def _old(end: str, links: tuple[Link, ...], inner: Joined, catalogue: Catalogue) -> tuple[OldLink, ...] | Misfit:
    """The links of the old rig, on the same terminal or turnbuckle as far as that is known."""
    old_links: list[OldLink] = []
    face = _bare(inner.face)
    for place, link in enumerate(links):
        if link.change == "added":
            continue
        pin = link.pin or face.pin
        known = catalogue.with_discontinued.links(link.kind)
        near = _of_pin(known, link, face.pin, known)
        row = near and _with_own(link, near)
        inward, outward = way_round(link.kind, face, link.outer_side)
        joint = join(face, _plain(end, link.kind, inward, pin))
        if isinstance(joint, Unfit):
            return Misfit((misfit(joint, f"{end}/links/{place}"),))
        length, source = _old_length(link, row)
        face = _plain(end, link.kind, outward, near.pin if near is not None and link.kind in BETWEEN_WIRES else pin)
        frame = Frame("hole", pin=pin, source=source) if row is None else _frame(row, outward)
        old_links.append(OldLink(place, link.kind, length, joint.overlap, frame, source, face))
    return tuple(old_links)


def _old_length(link: Link, row: LinkRow | None) -> tuple[Decimal | None, Value]:
    """The old link's length and its source: as measured, else as the new one."""
    own = link.dimensions.length if link.dimensions is not None and stays(link) else None
    measured = link.old_length or own
    if measured is not None:
        return measured, phrase("source.old_link")
    return (None, MEASURED) if row is None else (row.length, origin(row.sku))


def _bare(face: Face) -> Face:
    """The same face without sizes: whatever was attached there before evidently fitted."""
    return Face(face.kind, face.of, face.pin)


def _plain(end: str, kind: str, side: str, pin: Decimal | None) -> Face:
    return Face(side, at_end(phrase(f"link.{kind}"), end), pin)


def old_terms(end: str, old: OldLink) -> tuple[Term, ...]:
    """The terms that an old link outside the reading adds to the target: its length less its inner joint. Its length must be known."""
    long = old.length or Decimal(0)
    length = term("link", -long, old.source, end, link=phrase(f"link.{old.kind}"), length=long).added()
    if not old.overlap:
        return (length,)
    return length, term("pin-through-link", old.overlap, old.source, end, link=phrase(f"link.{old.kind}"), pin=old.overlap).added()


def toggles_given_twice(end: str, links: tuple[Link, ...], inner: Inner) -> tuple[Finding, ...]:
    """A finding for each toggle on a toggle: owners tend to list one toggle twice, as the end of the turnbuckle or wire and again as a link.

    A toggle that is left away does not count on a new part, but on a kept one it does.
    """
    findings, before, kept = [], inner.kind, inner.kept
    for place, link in enumerate(links):
        if link.kind == before == "toggle" and (kept or link.change != "left_away"):
            findings.append(finding(TOGGLE_TWICE, f"{end}/links/{place}", "link" if place else inner.of, end=phrase(f"end.{end}")))
        if link.change != "left_away":
            before, kept = link.kind, link.reuse
    return tuple(findings)

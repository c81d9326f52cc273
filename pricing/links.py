"""Toggles and shackles between a terminal (or a turnbuckle) and the load, outermost last.

Each pin that joins two members takes one pin diameter off their sum, since under load each bears on its own side of the pin (common
practice, and statics). An eye or a thimble straight on a shackle's bow touches the same surface: nothing is taken off. A shackle's own
bearing is its pin's face toward the wire, so what hangs on that pin loses nothing either.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TYPE_CHECKING

from pricing.derivation import Term, term
from pricing.findings import Finding, code, finding
from pricing.fittings.base import Doubt, Frame, Member, Misfit, Part
from pricing.fittings.choose import PIN_MISFIT, SKU_MISFIT, by_pin, not_exact, suits
from pricing.fittings.own import OWN, as_catalogue, not_kept, origin, own_doubt
from pricing.units import nominal

if TYPE_CHECKING:
    from pricing.assembly import Link
    from pricing.catalogue import Catalogue
    from pricing.catalogue.rows import Link as LinkRow

LINK_PIN_MISSING = code("link-pin-missing", "stop", "A toggle or shackle hangs where no pin is known, and its own was not said.")
NO_LINK = code("no-link-for-pin", "stop", "The catalogue has no such toggle or shackle for that pin.")
NO_JOINT = code("link-has-no-joint", "stop", "A toggle or shackle was put on an end that has no pin hole to hang it on.")
HANGS_ON = ("hole", "crown", "shackle")


@dataclass(frozen=True, slots=True)
class Inner:
    """What a link hangs on: its kind of frame, its pin, its hole, and whether it spans the link with a jaw of its own."""

    pin: Decimal | None
    hole: Decimal | None
    has_jaw: bool
    kind: str

    @property
    def shackle(self) -> bool:
        """Whether it is a shackle, whose pin carries the next link."""
        return self.kind == "shackle"


@dataclass(frozen=True, slots=True)
class Joined:
    """Links laid out: terms (negative lengths, positive joints), the outermost frame, parts, members, findings; `pins` to be supplied."""

    terms: tuple[Term, ...] = ()
    frame: Frame | None = None
    parts: tuple[Part, ...] = ()
    pins: tuple[tuple[Decimal, Decimal, bool], ...] = ()
    strength: tuple[Member, ...] = ()
    findings: tuple[Finding, ...] = ()
    doubts: tuple[Doubt, ...] = ()


def join_links(end: str, links: tuple[Link, ...], inner: Inner, catalogue: Catalogue) -> Joined | Misfit:
    """Lay links outward from `inner`; each one found must take its neighbour's pin."""
    done = Joined()
    for place, link in enumerate(links):
        at = f"{end}/links/{place}"
        row = _choose(at, link, inner, catalogue)
        if isinstance(row, Misfit):
            return row
        joint = _joint(at, end, row, inner)
        if isinstance(joint, Misfit):
            return joint
        length = term(f"{end} {row.kind}", -row.length, origin(row.sku), "bearing to bearing", length=row.length)
        turned = row.kind == "toggle" and not inner.has_jaw and not inner.shackle
        done = Joined(
            (*done.terms, length, *joint),
            _frame(row, turned),
            (*done.parts, Part(row.sku, row.name, 1, end, link.reuse, row.mass_kg)),
            (*done.pins, *(((row.pin, row.jaw, link.reuse),) if row.kind == "toggle" else ())),
            (*done.strength, Member(f"{end} {row.kind}", row.break_kn, origin(row.sku))),
            (*done.findings, *not_exact(row.pin, link.pin, at), *_kept(at, link)),
            (*done.doubts, *((own_doubt(f"{end} {row.kind}, kept", link.dimensions.within),) if link.dimensions else ())),
        )
        inner = Inner(row.pin, row.hole, has_jaw=not turned, kind="shackle" if row.kind == "shackle" else "hole")
    return done


def _frame(row: LinkRow, turned: bool) -> Frame:
    """A toggle turned round to span an eye shows its hole to the load; how far its tip lies beyond it is not known then."""
    source = origin(row.sku)
    if row.kind == "shackle":
        return Frame("shackle", pin=row.pin, source=source)
    if turned:
        return Frame("hole", pin=row.pin, hole=row.inner_hole, source=source)
    return Frame("hole", pin=row.pin, hole=row.hole, tip=row.tip, source=source)


def _choose(at: str, link: Link, inner: Inner, catalogue: Catalogue) -> LinkRow | Misfit:
    if inner.kind not in HANGS_ON:
        message = f"The {link.kind} has nothing to hang on: this end has no pin hole."
        return Misfit((finding(NO_JOINT, at, message, "Choose a fork, eye, toggle or thimble eye, or leave the link out."),))
    wanted = link.pin or inner.pin
    rows = catalogue.links(link.kind)
    if link.sku is not None:
        rows = tuple(row for row in rows if row.sku == link.sku)
        if rows:
            return _measured(at, link, rows[0])
        return Misfit(
            (finding(SKU_MISFIT, f"{at}/sku", f"{link.sku} is not a {link.kind}.", "Leave out the sku, or name such an article."),)
        )
    if wanted is None:
        return Misfit((finding(LINK_PIN_MISSING, at, f"The {link.kind}'s pin was not said.", "Measure its pin and say `pin`."),))
    row = by_pin(rows, wanted)
    if row is not None:
        return _measured(at, link, row)
    message = f"The catalogue has no {link.kind} with a {nominal(wanted)} pin."
    return Misfit((finding(NO_LINK, at, message, "Measure its pin again, or choose another."),))


def _measured(at: str, link: Link, row: LinkRow) -> LinkRow | Misfit:
    """The row, with the dimensions that were measured on a link that is kept."""
    own = link.dimensions
    if own is None:
        return row
    if not link.reuse:
        return not_kept(at)
    return replace(
        row, sku=f"{OWN}-{row.sku}", length=own.length or row.length, inner_hole=own.inner_hole or row.inner_hole, hole=own.hole or row.hole
    )


def _kept(at: str, link: Link) -> tuple[Finding, ...]:
    return as_catalogue(at, link.kind) if link.reuse and link.dimensions is None else ()


def _joint(at: str, end: str, row: LinkRow, inner: Inner) -> tuple[Term, ...] | Misfit:
    """The pin diameter taken off where two members share a pin."""
    if inner.shackle or (row.kind == "shackle" and not inner.has_jaw):
        return ()
    hole, pin = (row.inner_hole, inner.pin) if inner.has_jaw else (inner.hole, row.pin)
    if row.kind != "shackle" and hole is not None and pin is not None and not suits(pin, hole):
        message = f"A {nominal(pin)} pin does not suit the {nominal(hole)} hole that it joins."
        return Misfit((finding(PIN_MISFIT, at, message, "Choose a link whose hole takes its neighbour's pin."),))
    if pin is None:
        return ()
    return (
        term(
            f"{end} pin through {row.kind}",
            pin,
            origin(row.sku),
            "one pin diameter: each member bears on its own side of it",
            pin=pin,
        ),
    )

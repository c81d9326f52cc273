"""Parts that the customer keeps: which dimensions affect the length, how well they are known, and which still need measuring.

A kept part may differ from the catalogue's. A dimension that was not measured is taken from the catalogue equivalent (same kind, thread or
pin, wire); its half-width is the largest difference between equivalents, but at least the shop's term. It is asked for only if it affects
the cut length. A member inside the reading is subtracted for the cut, so its length counts. A member outside the reading is first added, so
its length cancels; the exception is the old stud's thread, which lay inside the old body and counts in full. Lengths in mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from decimal import Decimal
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from pricing.findings import Finding, code, finding
from pricing.fittings import FAMILIES
from pricing.fittings.base import Contribution
from pricing.fittings.deadeye import OWN_DEADEYE, effects
from pricing.fittings.own import CALIPER, OWN, OWN_WITHIN, REUSED_AS_CATALOGUE
from pricing.geometry.links import stays
from pricing.measurement.included import old_links, reading_extent
from pricing.rows import Body, Screw, Terminal
from pricing.rows import Link as LinkRow
from pricing.values import Length, Listing, Phrase, phrase, phrases

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.geometry.sides import Side
    from pricing.geometry.turnbuckle_setting import ChosenSetting
    from pricing.measurement.assembly import Assembly, Link, OwnLink, OwnTerminal, OwnTurnbuckle, Turnbuckle

KEPT_UNMEASURED = code(
    "kept-part-unmeasured",
    "ask",
    "A part is kept, and a dimension of it that affects the cut length was not measured: that of its equivalent in the catalogue was used.",
)
OLD_STUD_UNMEASURED = code(
    "old-stud-as-catalogue",
    "ask",
    "The reading stopped at the stud, and the old stud's thread was not measured: how much of it was inside the body is not known.",
)
OLD_TURNBUCKLE_UNKNOWN = code(
    "old-turnbuckle-as-new",
    "ask",
    "The reading stopped at the stud and the turnbuckle is new: the old one was taken to have the new one's dimensions.",
)  # fmt: skip
OLD_OF_KEPT = code(
    "old-turnbuckle-is-kept",
    "ask",
    "Dimensions of an old turnbuckle were given as if it were replaced, but it is kept: they were not used.",
)
IMPROVE = phrase("improve.kept_part")


class KeptDimension(NamedTuple):
    """One dimension of a kept part. `effect` is the change in cut length per mm (0: it cancels); `measured` is in mm, None if not measured.

    `name` is its key under `dimension` in the catalogue of names. `off` is the largest difference between any catalogue equivalent and the
    value used, mm.
    """

    name: str
    effect: float
    measured: Decimal | None
    off: Decimal = Decimal(0)


class KeptPart(NamedTuple):
    """A kept part: its pointer in the request, name, dimensions, and the half-width they were measured to (mm).

    `partly_measured` means that at least one dimension was given, `gauged` that only the shop can measure the part.
    """

    at: str
    name: Phrase
    dimensions: tuple[KeptDimension, ...]
    within: Decimal | None
    partly_measured: bool
    gauged: bool = False

    def missing(self) -> list[KeptDimension]:
        """Dimensions that count and were not measured."""
        return [each for each in self.dimensions if each.effect and each.measured is None]


class KeptParts(NamedTuple):
    """Findings on kept parts, and their contributions to the uncertainty."""

    findings: tuple[Finding, ...]
    contributions: tuple[Contribution, ...]


NO_KEPT_PARTS = KeptParts((), ())


def judge_kept_parts(
    assembly: Assembly, sides: Mapping[str, Side], chosen_setting: ChosenSetting | None, catalogue: Catalogue, least: Decimal
) -> KeptParts:
    """Judges all kept parts of an assembly, and the old stud and turnbuckle if the reading stopped at the stud.

    `least` is the minimum half-width of a dimension that was not measured, mm.
    """
    if assembly.turnbuckle is None and not any(side.end.reuse or side.end.links for side in sides.values()):
        return NO_KEPT_PARTS
    parts = [part for name, side in sides.items() for part in _at_end(assembly, name, side, catalogue)]
    findings = [each for part in parts for each in _dimension_findings(part)]
    contributions = [each for part in parts for each in _contributions(part, least)]
    for name, side in sides.items():
        contributions += [each for part in _old_links(assembly, name, side, catalogue) for each in _contributions(part, least)]
        old = _old(assembly, name, side, chosen_setting, catalogue, least)
        findings += old.findings
        contributions += old.contributions
    return KeptParts(tuple(findings), tuple(contributions))


def _at_end(assembly: Assembly, name: str, side: Side, catalogue: Catalogue) -> Iterator[KeptPart]:
    if side.fitting.sku == OWN_DEADEYE and side.end.dimensions is not None:
        yield _deadeye(name, side.end.dimensions, side)
    elif side.end.reuse and side.fitting.sku is not None:
        yield _terminal(assembly, name, side, catalogue) if FAMILIES[side.end.terminal].own else _thimble(name)
    requested = assembly.turnbuckle
    if requested is not None and requested.at == name and requested.reuse and side.turnbuckle is not None:
        yield _turnbuckle(assembly, requested, side, catalogue)
    for place, link in enumerate(side.end.links):
        if _stays(link):
            yield _link(assembly, name, place, link, side, catalogue)


def _stays(link: Link) -> bool:
    return stays(link) or link.reuse


@lru_cache(maxsize=1024)
def _bodies_like(thread: str, catalogue: Catalogue) -> tuple[Body, ...]:
    return tuple(each for each in catalogue.tables.turnbuckle_bodies if each.thread == thread)


@lru_cache(maxsize=1024)
def _studs_like(thread: str | None, catalogue: Catalogue) -> tuple[Terminal, ...]:
    return tuple(each for each in catalogue.tables.terminals if each.thread is not None and each.thread == thread)


def _off(rows: Iterable[object], field: str, taken: Decimal | None) -> Decimal:
    """The largest difference between an equivalent's dimension and the one taken."""
    sizes = [mm for row in rows if (mm := getattr(row, field)) is not None]
    return max((abs(mm - taken) for mm in sizes), default=Decimal(0)) if taken is not None else Decimal(0)


def _from(
    row: object, rows: Iterable[object], own: OwnTerminal | OwnTurnbuckle | OwnLink | None, field: str, effect: int, of: str = ""
) -> KeptDimension:
    """The dimension for a request's `field`, compared with the catalogue column `of` (same name by default)."""
    column = of or field
    return KeptDimension(field, effect, getattr(own, field) if own else None, _off(rows, column, getattr(row, column, None)))


def _terminal(assembly: Assembly, name: str, side: Side, catalogue: Catalogue) -> KeptPart:
    """A kept terminal.

    The reading runs through it, so its reach and bore count; a stud's thread counts only if the reading includes the turnbuckle.
    """
    end, own, row = side.end, side.end.dimensions, catalogue.article(side.fitting.sku or "")
    alike: list[Terminal] = [] if not isinstance(row, Terminal) else [
        each for each in catalogue.tables.terminals
        if (each.family, each.attachment, each.pin, each.thread) == (row.family, row.attachment, row.pin, row.thread)
        and set(each.wire_sizes) & set(row.wire_sizes)
    ]  # fmt: skip
    sizes = [_from(row, alike, own, "reach", -1), _from(row, alike, own, "depth", 1)]
    if side.turnbuckle is not None and side.turnbuckle.stud:
        sizes.append(_from(row, alike, own, "thread_length", int(_turnbuckle_read(assembly))))
    return KeptPart(
        f"{name}/dimensions" if own else f"{name}/terminal",
        phrase(f"kept_terminal.{end.terminal}"),
        tuple(sizes),
        own.within if own else None,
        own is not None,
    )


def _deadeye(name: str, own: OwnTerminal, side: Side) -> KeptPart:
    """A deadeye, whose dimensions are always measured, never taken from a catalogue."""
    wire = dict(side.fitting.sizes)["wire"]
    groove, away = effects(own, wire)
    sizes = (KeptDimension("groove", groove, own.groove), KeptDimension("to_sleeve", away, own.to_sleeve))
    return KeptPart(f"{name}/dimensions", phrase("kept_terminal.deadeye"), sizes, own.within, partly_measured=True)


def _thimble(name: str) -> KeptPart:
    """A kept thimble. A request has no dimensions for it, since a new one costs little."""
    size = KeptDimension("crown_and_groove", -1, None)
    return KeptPart(f"{name}/terminal", phrase("kept_terminal.thimble_eye"), (size,), None, partly_measured=False, gauged=True)


def _turnbuckle(assembly: Assembly, requested: Turnbuckle, side: Side, catalogue: Catalogue) -> KeptPart:
    """A kept turnbuckle. Body and run-outs cancel if the reading stopped at the stud."""
    own, effect = requested.dimensions, -int(_turnbuckle_read(assembly))
    rows = [catalogue.article(each.sku.removeprefix(f"{OWN}-")) for each in side.parts if each.at == "turnbuckle"]
    bodies, screws = [row for row in rows if isinstance(row, Body)], [row for row in rows if isinstance(row, Screw)]
    body = bodies[0] if bodies else None
    alike = _bodies_like(body.thread, catalogue) if body is not None else ()
    sizes = [_from(body, alike, own, "body", effect, "length")]
    outer = screws[-1] if screws else None
    sizes.append(_from(outer, _screws_like(outer, catalogue), own, "runout", effect))
    if len(screws) > 1:
        inner = screws[0]
        off = _off(_screws_like(inner, catalogue), "runout", inner.runout)
        sizes.append(KeptDimension("inner_runout", effect, None, off))
    at = "turnbuckle/dimensions" if own else "turnbuckle"
    return KeptPart(at, phrase("turnbuckle.kept"), tuple(sizes), own.within if own else None, own is not None)


def _screws_like(row: Screw | None, catalogue: Catalogue) -> tuple[Screw, ...]:
    return () if row is None else catalogue.screws(row.thread, row.end)


def _link(assembly: Assembly, name: str, place: int, link: Link, side: Side, catalogue: Catalogue) -> KeptPart:
    """A kept link. One outside the reading is added and subtracted again."""
    own = link.dimensions
    kept = [
        row
        for each in side.links.parts
        if isinstance(row := catalogue.article(each.sku.removeprefix(f"{OWN}-")), LinkRow) and row.kind == link.kind
    ]
    row = kept[0] if kept else None
    alike = [each for each in catalogue.links(link.kind) if row is not None and each.pin == row.pin]
    length = _from(row, alike, own, "length", -int(_link_counts(assembly, name, place, link)))
    if length.measured is None and stays(link):
        length = length._replace(measured=link.old_length)
    at = f"{name}/links/{place}"
    return KeptPart(
        f"{at}/dimensions" if own else at,
        phrase(f"kept_link.{link.kind}"),
        (length,),
        own.within if own else None,
        own is not None or (stays(link) and link.old_length is not None),
    )


def _turnbuckle_read(assembly: Assembly) -> bool:
    return assembly.measurement.includes_turnbuckle is not False


def _link_read(assembly: Assembly, name: str, place: int) -> bool:
    return place in [at for at, _ in old_links(assembly, name)][: reading_extent(assembly, name).links]


def _link_counts(assembly: Assembly, name: str, place: int, link: Link) -> bool:
    """Whether a link's length affects the cut: a link inside the reading, or an added one, which is only subtracted."""
    return link.change == "added" or _link_read(assembly, name, place)


def _old_links(assembly: Assembly, name: str, side: Side, catalogue: Catalogue) -> Iterator[KeptPart]:
    """Old links outside the reading that are replaced or left away. Their length counts in full; `replaced_unmeasured` asks for it."""
    links = side.end.links
    for old in side.links.old[reading_extent(assembly, name).links :]:
        if not _stays(links[old.place]) and old.length is not None:
            off = _off([row for row in catalogue.links(old.kind) if row.pin == old.frame.pin], "length", old.length)
            size = KeptDimension("length", 1, links[old.place].old_length, off)
            yield KeptPart(f"{name}/links/{old.place}", phrase(f"old_link.{old.kind}"), (size,), None, partly_measured=True)


def _dimension_findings(part: KeptPart) -> Iterator[Finding]:
    missing = part.missing()
    if missing:
        wording = "gauged" if part.gauged else "measured"
        yield finding(KEPT_UNMEASURED, part.at, wording, part=part.name, sizes=_listed(missing))
    elif not part.partly_measured:
        yield finding(REUSED_AS_CATALOGUE, part.at, part=part.name)
    if part.partly_measured and part.within is None and any(each.measured is not None and each.effect for each in part.dimensions):
        yield finding(OWN_WITHIN, part.at, part=part.name, within=Length(CALIPER))


def _listed(sizes: Iterable[KeptDimension]) -> Listing:
    return phrases(f"dimension.{each.name}" for each in sizes)


def _contributions(part: KeptPart, least: Decimal) -> Iterator[Contribution]:
    """The uncertainty of each dimension that counts, as a rectangular distribution."""
    for each in part.dimensions:
        if each.effect:
            half = max(each.off, least) if each.measured is None else (CALIPER if part.within is None else part.within)
            name = phrase("contribution.kept", part=part.name, size=phrase(f"dimension.{each.name}"))
            yield Contribution(name, each.effect * float(half) / math.sqrt(3), None, IMPROVE)


def _old(
    assembly: Assembly, name: str, side: Side, chosen_setting: ChosenSetting | None, catalogue: Catalogue, least: Decimal
) -> KeptParts:
    """The old parts beyond a reading to the stud: the old stud's thread and, if it is replaced, the old turnbuckle."""
    requested, turnbuckle = assembly.turnbuckle, side.turnbuckle
    if requested is None or turnbuckle is None or chosen_setting is None or chosen_setting.recorded is None or _turnbuckle_read(assembly):
        return KeptParts((), ())
    old, sizes = requested.old, []
    if turnbuckle.stud and not side.end.reuse:
        alike = _studs_like(side.fitting.thread, catalogue)
        measured = old.stud_thread_length if old else None
        sizes.append(KeptDimension("stud_thread", -1, measured, _off(alike, "thread_length", side.fitting.thread_length)))
    if not chosen_setting.same_geometry:
        sizes.append(KeptDimension("body", 1, old.body if old else None))
        sizes.append(KeptDimension("runout", 1, old.runout if old else None))
    part = KeptPart("turnbuckle/old" if old else "turnbuckle", phrase("turnbuckle.old"), tuple(sizes), None, old is not None)
    contributions = [each._replace(remedy=phrase("improve.old_turnbuckle")) for each in _contributions(part, least)]
    return KeptParts((*_old_dimension_findings(requested, part, side), *_of_kept(requested)), tuple(contributions))


def _old_dimension_findings(requested: Turnbuckle, part: KeptPart, side: Side) -> Iterator[Finding]:
    missing = {each.name: each for each in part.missing()}
    if missing.pop("stud_thread", None) is not None:
        yield finding(OLD_STUD_UNMEASURED, part.at, length=Length(side.fitting.thread_length))
    if missing:
        yield finding(OLD_TURNBUCKLE_UNKNOWN, part.at, sizes=_listed(missing.values()))


def _of_kept(requested: Turnbuckle) -> Iterator[Finding]:
    if requested.reuse and requested.old is not None and (requested.old.body is not None or requested.old.runout is not None):
        yield finding(OLD_OF_KEPT, "turnbuckle/old")

"""Checks the measured dimensions of kept and old parts, to catch a wrong digit or unit.

They must be consistent and close to their catalogue equivalents. An equivalent has the same kind and thread or pin; a part half or twice
as long is either a different part or a mistake: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.findings import Finding, code, finding
from pricing.fittings.choose import by_pin
from pricing.fittings.own import OWN
from pricing.geometry.links import stays
from pricing.geometry.turnbuckle_setting import BEYOND_SCREW, SCREWS_MEET
from pricing.joints.members import at_end
from pricing.rows import Body, Screw
from pricing.values import Length, Phrase, Value, compared, phrase

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.geometry.sides import Side
    from pricing.geometry.turnbuckle_fit import TurnbuckleFit
    from pricing.geometry.turnbuckle_setting import ChosenSetting
    from pricing.measurement.assembly import Assembly, Link, Turnbuckle

DIMENSION_IMPLAUSIBLE = code(
    "dimension-implausible", "ask", "A measured dimension of a kept or old part is far from that of its look-alike in the catalogue."
)
DIMENSION_IMPOSSIBLE = code("dimension-impossible", "stop", "Two measured dimensions of a kept or old part cannot be of one part.")
LINK_TWICE = code("link-said-twice", "ask", "Two statements about one link contradict each other.")
FACTOR = Decimal(2)  # an equivalent may be half or twice as long as measured: common practice, no source


class Sized(NamedTuple):
    """A measured dimension in mm: its pointer in the request, its part and name, and the catalogue equivalent's (None: no equivalent)."""

    at: str
    part: Phrase
    size: Phrase
    mm: Decimal | None
    usual: Decimal | None


def implausible(
    assembly: Assembly, sides: Mapping[str, Side], chosen_setting: ChosenSetting | None, catalogue: Catalogue
) -> Iterator[Finding]:
    """Findings for all kept and old parts of an assembly; pointers relative to it."""
    for name, side in sides.items():
        yield from _terminal(assembly, name, side, catalogue)
        for place, link in enumerate(side.end.links):
            yield from _link(f"{name}/links/{place}", name, place, link, side, catalogue)
        if assembly.turnbuckle is not None and side.turnbuckle is not None:
            yield from _turnbuckle(assembly, assembly.turnbuckle, side, side.turnbuckle, chosen_setting, catalogue)


def _far(sized: Sized) -> Iterator[Finding]:
    if sized.mm is None or not sized.usual or sized.usual <= sized.mm * FACTOR <= sized.usual * FACTOR**2:
        return
    values: dict[str, Value] = {"part": sized.part, "size": sized.size, "mm": Length(sized.mm), "usual": Length(sized.usual)}
    yield finding(DIMENSION_IMPLAUSIBLE, sized.at, "far", **values)


def _terminal(assembly: Assembly, name: str, side: Side, catalogue: Catalogue) -> Iterator[Finding]:
    own, end = side.end.dimensions, side.end
    if own is None or not end.reuse:
        return
    at, wire, part = f"{name}/dimensions", assembly.wire, phrase(f"kept_terminal.{end.terminal}")
    if own.depth is not None and own.reach is not None and own.depth > own.reach:
        depth, reach = compared(own.depth, own.reach)
        yield finding(DIMENSION_IMPOSSIBLE, f"{at}/depth", "bore", part=part, depth=depth, reach=reach)
    rows = catalogue.terminals(end.terminal, end.attachment or "", wire.construction, wire.diameter) if wire.diameter is not None else ()
    rows = tuple(row for row in rows if side.fitting.thread is None or row.thread == side.fitting.thread)
    row = rows[0] if end.pin is None and rows else by_pin(rows, end.pin) if end.pin is not None else None
    for field in ("reach", "depth", "thread_length"):
        yield from _far(Sized(f"{at}/{field}", part, phrase(f"dimension.{field}"), getattr(own, field), getattr(row, field, None)))


def _link(at: str, name: str, place: int, link: Link, side: Side, catalogue: Catalogue) -> Iterator[Finding]:
    yield from _given_twice(at, name, link)
    own = link.dimensions
    pin = link.pin or next((old.frame.pin for old in side.links.old if old.place == place), None)
    usual = by_pin(catalogue.links(link.kind), pin) if pin is not None else None
    usual_length = usual.length if usual is not None else None
    through = max((mm for mm in (pin, own.hole if own else None, own.inner_hole if own else None) if mm is not None), default=None)
    lengths = (
        (f"{at}/dimensions/length", f"{'kept_link' if stays(link) else 'link'}.{link.kind}", own.length if own else None),
        (f"{at}/old_length", f"old_link.{link.kind}", link.old_length),
    )
    for where, which, mm in lengths:
        part = phrase("member.part_at_end", part=phrase(which), end=phrase(f"end.{name}"))
        if mm is not None and through is not None and mm <= through:
            length, widest = compared(mm, through)
            yield finding(DIMENSION_IMPOSSIBLE, where, "link_length", part=part, length=length, through=widest)
        else:
            yield from _far(Sized(where, part, phrase("dimension.length"), mm, usual_length))
    if own is not None and own.jaw is not None and own.jaw_over is not None and own.jaw_over <= own.jaw:
        inside, over = compared(own.jaw, own.jaw_over)
        values: dict[str, Value] = {
            "part": at_end(phrase(f"link.{link.kind}"), name),
            "inside": inside,
            "over": over,
        }
        yield finding(DIMENSION_IMPOSSIBLE, f"{at}/dimensions/jaw_over", "cheeks", **values)


def _given_twice(at: str, name: str, link: Link) -> Iterator[Finding]:
    own = link.dimensions.length if link.dimensions is not None else None
    part = at_end(phrase(f"link.{link.kind}"), name)
    if link.reuse and link.change in ("replaced", "left_away"):
        yield finding(LINK_TWICE, at, f"reused_and_{link.change}", part=part)
    elif link.change == "added" and link.old_length is not None:
        yield finding(LINK_TWICE, at, "added_and_old", part=part, old=Length(link.old_length))
    elif stays(link) and own is not None and link.old_length is not None and own != link.old_length:
        one, other = compared(own, link.old_length)
        yield finding(LINK_TWICE, at, "two_lengths", part=part, own=one, old=other)


def _turnbuckle(
    assembly: Assembly,
    requested: Turnbuckle,
    side: Side,
    turnbuckle: TurnbuckleFit,
    chosen_setting: ChosenSetting | None,
    catalogue: Catalogue,
) -> Iterator[Finding]:
    body, screw = _look_alikes(side, catalogue)
    length, runout = (body.length if body else None), (screw.runout if screw else None)
    own, at, part = requested.dimensions, "turnbuckle/dimensions", phrase("turnbuckle.kept")
    if own is not None and requested.reuse:
        yield from _far(Sized(f"{at}/body", part, phrase("dimension.body"), own.body, length))
        yield from _far(Sized(f"{at}/runout", part, phrase("dimension.runout"), own.runout, runout))
        usual = screw.thread_length if screw else None
        yield from _far(Sized(f"{at}/thread_length", part, phrase("dimension.screw_thread"), own.thread_length, usual))
        yield from _locknut(requested, own.locknut, body)
    old, at, part = requested.old, "turnbuckle/old", phrase("turnbuckle.old")
    if old is None or assembly.measurement.includes_turnbuckle is not False:
        return
    if turnbuckle.stud:
        yield from _old_stud(requested, turnbuckle, chosen_setting)
        if not side.end.reuse:
            thread = side.fitting.thread_length
            yield from _far(Sized(f"{at}/stud_thread_length", part, phrase("dimension.stud_thread"), old.stud_thread_length, thread))
    if not requested.reuse:
        yield from _far(Sized(f"{at}/body", part, phrase("dimension.body"), old.body, length))
        yield from _far(Sized(f"{at}/runout", part, phrase("dimension.runout"), old.runout, runout))


def _look_alikes(side: Side, catalogue: Catalogue) -> tuple[Body | None, Screw | None]:
    """The catalogue's body and outer screw, whether measured or not."""
    rows = [catalogue.article(each.sku.removeprefix(f"{OWN}-")) for each in side.parts if each.at == "turnbuckle"]
    bodies, screws = [row for row in rows if isinstance(row, Body)], [row for row in rows if isinstance(row, Screw)]
    return bodies[0] if bodies else None, screws[-1] if screws else None


def _locknut(requested: Turnbuckle, height: Decimal | None, body: Body | None) -> Iterator[Finding]:
    at = "turnbuckle/dimensions/locknut"
    if requested.body == "tubular" and height is not None and not height:
        if body is None:
            yield finding(DIMENSION_IMPLAUSIBLE, at, "no_locknut")
        else:
            yield finding(DIMENSION_IMPLAUSIBLE, at, "no_locknut_but", usual=Length(body.locknut))
    else:
        usual = body.locknut if body is not None else None
        yield from _far(Sized(at, phrase("turnbuckle.kept"), phrase("dimension.locknut"), height, usual))


def _old_stud(requested: Turnbuckle, turnbuckle: TurnbuckleFit, chosen_setting: ChosenSetting | None) -> Iterator[Finding]:
    """The old stud in the old body. The old outer screw's length is not asked for, so the stud only has to end within the body."""
    old = requested.old
    if old is None or old.stud_thread_length is None or chosen_setting is None or chosen_setting.recorded is None:
        return
    thread, exposed = old.stud_thread_length, chosen_setting.recorded.upper if turnbuckle.at == "lower" else chosen_setting.recorded.lower
    at = "turnbuckle/old/stud_thread_length"
    body = turnbuckle.geometry.body if requested.reuse or requested.like_for_like else old.body
    if exposed > thread:
        shown, whole = compared(exposed, thread)
        yield finding(BEYOND_SCREW, at, "old_stud", exposed=shown, thread=whole)
    elif body is not None and thread - exposed > body:
        inside, room = compared(thread - exposed, body)
        yield finding(SCREWS_MEET, at, "old_stud", inside=inside, body=room)

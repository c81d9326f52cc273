"""The terminals a wire can have. The fitting families themselves decide, so that nothing is offered that they would refuse."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.fittings import FAMILIES, EndRequest, Fitting, Misfit
from pricing.geometry.pins import choose_pins
from pricing.joints import Face, Joint, PinNeeded
from pricing.measurement.assembly import End
from pricing.units import nominal

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.rows import Wire


_NOTHING = Decimal(0)


class Fitted(NamedTuple):
    """A terminal on a wire; `pin`, `thread` and `hand` are as written in a request, or empty if it has none."""

    wire: Wire
    family: str
    attachment: str
    pin: str
    thread: str
    hand: str
    fitting: Fitting


def fitted(catalogue: Catalogue) -> tuple[Fitted, ...]:
    """Every terminal that fits each wire of the catalogue."""
    return tuple(each for wire in catalogue.tables.wires for each in _on(wire, catalogue))


def _on(wire: Wire, catalogue: Catalogue) -> Iterator[Fitted]:
    ends = [
        End(row.family, row.attachment, pin=row.pin, thread=row.thread, hand=row.hand)
        for row in catalogue.tables.terminals
        if wire.construction in row.constructions and wire.diameter in row.wire_sizes
    ]
    for end in (*ends, *_without_rows(wire)):
        fitting = FAMILIES[end.terminal].fit(EndRequest("upper", end, wire), catalogue)
        if isinstance(fitting, Misfit) or any(each.severity == "stop" for each in fitting.findings):
            continue
        if has_pins([on_boat(fitting.face)], catalogue):
            pin = "" if end.pin is None else nominal(end.pin)
            yield Fitted(wire, end.terminal, end.attachment or "", pin, end.thread or "", end.hand or "", fitting)


def _without_rows(wire: Wire) -> Iterator[End]:
    """The ends whose families have no rows in the table of terminals: those made up of other parts, and the bare end."""
    for family in FAMILIES.values():
        if not family.listed:
            yield from (End(family.name, attachment) for attachment in family.attachments)
            if not family.attachments:
                yield End(family.name, leave=wire.diameter)


def has_pins(joints: Iterable[Joint], catalogue: Catalogue) -> bool:
    """Whether the catalogue has the clevis and cotter pins for all joints that need one."""
    return not any(each.severity == "stop" for each in choose_pins(joints, "", catalogue)[2])


def on_boat(face: Face) -> Joint:
    """The joint between an outermost face and an unknown fitting of the boat."""
    return Joint("not given", _NOTHING, PinNeeded(face.pin, face.over, face.kept) if face.brings and face.pin is not None else None)


def by_pin(fitted_ends: tuple[Fitted, ...]) -> dict[tuple[str, str, str], tuple[Fitting, ...]]:
    """Fittings with distinct faces, by (family, pin, wire size): a construction or an attachment may have a face of its own."""
    groups: dict[tuple[str, str, str], dict[object, Fitting]] = defaultdict(dict)
    for each in fitted_ends:
        groups[each.family, each.pin, each.wire.size][each.fitting.face] = each.fitting
    return {key: tuple(group.values()) for key, group in groups.items()}

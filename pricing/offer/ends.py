"""Which terminals a wire can have: the families are asked themselves, so that nothing is offered that they would refuse."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.assembly import End
from pricing.fittings import FAMILIES, Asked, Fitting, Misfit
from pricing.pins import choose_pins
from pricing.units import nominal

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.catalogue.rows import Wire


class Fitted(NamedTuple):
    """A terminal on a wire; `pin`, `thread` and `hand` as a request names them, empty where it has none."""

    wire: Wire
    family: str
    attachment: str
    pin: str
    thread: str
    hand: str
    fitting: Fitting


def fitted(catalogue: Catalogue) -> tuple[Fitted, ...]:
    """Every terminal that can be put on every wire of the catalogue."""
    return tuple(each for wire in catalogue.tables.wires for each in _on(wire, catalogue))


def _on(wire: Wire, catalogue: Catalogue) -> Iterator[Fitted]:
    ends = [
        End(row.family, row.attachment, pin=row.pin, thread=row.thread, hand=row.hand)
        for row in catalogue.tables.terminals
        if wire.construction in row.constructions and wire.diameter in row.wire_sizes
    ]
    for end in (*ends, End("thimble_eye", "sleeve"), End("none", leave=wire.diameter)):
        fitting = FAMILIES[end.terminal].fit(Asked("upper", end, wire), catalogue)
        if isinstance(fitting, Misfit) or any(each.severity == "stop" for each in fitting.findings):
            continue
        if has_pin(fitting.frame.pin, fitting.jaw, catalogue):
            pin = "" if end.pin is None else nominal(end.pin)
            yield Fitted(wire, end.terminal, end.attachment or "", pin, end.thread or "", end.hand or "", fitting)


def has_pin(pin: Decimal | None, jaw: Decimal | None, catalogue: Catalogue) -> bool:
    """Whether the catalogue has the clevis and cotter pin that a jaw needs, where there is one."""
    return pin is None or jaw is None or not choose_pins([(pin, jaw, False)], "", catalogue)[2]


def by_pin(found: tuple[Fitted, ...]) -> dict[tuple[str, str], tuple[Fitting, ...]]:
    """The different fittings of each family and pin: they may differ in hole and jaw from wire to wire."""
    groups: dict[tuple[str, str], dict[object, Fitting]] = defaultdict(dict)
    for each in found:
        frame = each.fitting.frame
        groups[each.family, each.pin][frame.kind, frame.pin, frame.hole, each.fitting.jaw] = each.fitting
    return {key: tuple(group.values()) for key, group in groups.items()}

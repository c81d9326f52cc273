"""The tables: wires, terminals on them, links on their pins, turnbuckles on their threads. Sizes are in the words that a request takes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from pricing.assembly import BODIES, LINKS, SCREW_ENDS
from pricing.fittings.choose import suits
from pricing.offer.folding import Folded, Single, folded
from pricing.units import nominal

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.catalogue.rows import Screw, Terminal, Wire

Row = Folded


@dataclass(frozen=True, slots=True)
class Offer:
    """One table: its name, its columns, its rows."""

    name: str
    columns: tuple[str, ...]
    rows: tuple[Row, ...]


def offers(catalogue: Catalogue) -> tuple[Offer, ...]:
    """Every table of the catalogue's offer."""
    return (
        _offer("wires", ("construction", "material", "diameter"), _wires(catalogue)),
        _offer("terminals", ("terminal", "attachment", "construction", "diameter", "pin", "thread", "hand"), _terminals(catalogue)),
        _offer("links", ("kind", "pin"), _links(catalogue)),
        _offer("turnbuckles", ("thread", "stud_hand", "body", "end", "pin"), _turnbuckles(catalogue)),
        _offer("hung_turnbuckles", ("terminal", "on_pin", "thread", "body", "inner_end", "inner_pin", "end", "pin"), _hung(catalogue)),
    )


def _offer(name: str, columns: tuple[str, ...], singles: Iterable[Single]) -> Offer:
    return Offer(name, columns, folded(singles))


def _wires(catalogue: Catalogue) -> Iterator[Single]:
    for wire in catalogue.tables.wires:
        yield wire.construction, wire.material, wire.size


def _terminals(catalogue: Catalogue) -> Iterator[Single]:
    for wire in catalogue.tables.wires:
        for row in catalogue.tables.terminals:
            if wire.construction in row.constructions and wire.diameter in row.wire_sizes:
                yield _terminal(row, wire)
        if "1x19" not in wire.construction and catalogue.thimble(wire.diameter) and catalogue.sleeve(wire.construction, wire.diameter):
            yield "thimble_eye", "sleeve", wire.construction, wire.size, "", "", ""
        yield "none", "", wire.construction, wire.size, "", "", ""


def _terminal(row: Terminal, wire: Wire) -> Single:
    pin = nominal(row.pin) if row.pin else ""
    return row.family, row.attachment, wire.construction, wire.size, pin, row.thread or "", row.hand or ""


def _holed(catalogue: Catalogue) -> dict[tuple[str, str], Terminal]:
    """One terminal of each family and pin: links and turnbuckles hang on these."""
    return {(row.family, nominal(row.pin)): row for row in catalogue.tables.terminals if row.pin is not None}


def _links(catalogue: Catalogue) -> Iterator[Single]:
    for kind in LINKS:
        for link in catalogue.links(kind):
            yield kind, nominal(link.pin)


def _turnbuckles(catalogue: Catalogue) -> Iterator[Single]:
    for thread in catalogue.tables.threads:
        for body in BODIES:
            found = catalogue.body(body, thread.designation)
            for screw in _screws(catalogue, thread.designation) if found else ():
                yield thread.designation, "left" if screw.hand == "right" else "right", body, screw.end, nominal(screw.pin)


def _screws(catalogue: Catalogue, thread: str) -> list[Screw]:
    return [screw for end in SCREW_ENDS for screw in catalogue.screws(thread, end)]


def _hung(catalogue: Catalogue) -> Iterator[Single]:
    """Turnbuckles on a terminal's pin, with a screw of their own toward the wire."""
    bodies = [(row, _screws(catalogue, row.thread)) for row in catalogue.tables.turnbuckle_bodies]
    for (family, on_pin), row in _holed(catalogue).items():
        for body, screws in bodies:
            outers = [screw for screw in screws if screw.hand != body.stud_hand]
            for inner in screws:
                if inner.hand == body.stud_hand and _joins(row, inner):
                    for outer in outers:
                        yield family, on_pin, body.thread, body.body, inner.end, nominal(inner.pin), outer.end, nominal(outer.pin)


def _joins(row: Terminal, inner: Screw) -> bool:
    """Whether one pin goes through both: the one that has a jaw brings it."""
    pin, hole = (row.pin, inner.hole) if row.jaw is not None else (inner.pin, row.hole)
    return pin is not None and hole is not None and suits(pin, hole)

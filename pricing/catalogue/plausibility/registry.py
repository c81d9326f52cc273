"""The registry of checks of meaning. To add one, write it in the module of its family and list it here."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from pricing.catalogue.plausibility import costs, eyes, freight, joints, labour, names, pins, prices, shelf, taxes, terminals, terms, turnbuckles, wires
from pricing.catalogue.plausibility.examined import Examined
from pricing.catalogue.reading import Sheets
from pricing.errors import Doubt

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue

CHECKS: tuple[Callable[[Examined], Iterator[Doubt]], ...] = (
    wires.wires,
    terminals.terminals,
    terminals.growths,
    turnbuckles.threads,
    turnbuckles.bodies,
    turnbuckles.screws,
    turnbuckles.locknuts,
    pins.links,
    pins.pins,
    pins.cotters,
    eyes.thimbles,
    eyes.sleeves,
    eyes.balls,
    eyes.cones,
    eyes.backing_plates,
    labour.labour,
    prices.of_one_article,
    prices.of_a_family,
    prices.ladders,
    prices.against_before,
    prices.discounts,
    taxes.rates,
    freight.freight,
    terms.terms,
    terms.days,
    shelf.spools,
    shelf.stock,
    costs.costs,
    costs.reels,
    joints.lonely_pins,
    joints.threads_without_body,
    joints.hands,
    joints.wires_without_terminal,
    names.sizes_in_names,
    names.doubles,
    names.alike_names,
)


def every_doubt(sheets: Sheets, before: Catalogue | None) -> tuple[Doubt, ...]:
    """All doubts, in the order of tables and lines; those of one cell are one doubt with every reason."""
    examined = Examined(sheets, before)
    found: dict[str, Doubt] = {}
    for check in CHECKS:
        for doubt in check(examined):
            first = found.get(doubt.name)
            found[doubt.name] = doubt if first is None else _both(first, doubt)
    order = {sheet.table.file: at for at, sheet in enumerate(sheets.values())}
    return tuple(sorted(found.values(), key=lambda doubt: (order[doubt.file], doubt.line, doubt.column)))


def _both(first: Doubt, second: Doubt) -> Doubt:
    if second.reason in first.reason:
        return first
    return replace(first, reason=f"{first.reason}; {second.reason}")

"""The registry of plausibility checks. To add one, write it in the module of its family and list it here."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from pricing.catalogue.plausibility import (
    costs,
    ended,
    eyes,
    freight,
    joints,
    labour,
    names,
    pins,
    prices,
    shelf,
    sold_only,
    taxes,
    terminals,
    terms,
    turnbuckles,
    wires,
    written,
)
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
    prices.whole_pieces,
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
    costs.orders,
    joints.lonely_pins,
    joints.threads_without_body,
    joints.hands,
    joints.wires_without_terminal,
    written.lone_units,
    names.sizes_in_names,
    names.doubles,
    names.alike_names,
    sold_only.names,
    sold_only.families,
    sold_only.prices,
    sold_only.lacking,
    ended.without_successor,
)


def every_doubt(sheets: Sheets, before: Catalogue | None) -> tuple[Doubt, ...]:
    """All doubts, in the order of tables and lines; several doubts about one cell become one with all their reasons.

    A doubt that rests only on a comparison with a doubted cell is left out: that cell is to be corrected first.
    """
    examined = Examined(sheets, before)
    doubts_by_cell: dict[str, list[Doubt]] = {}
    for check in CHECKS:
        for doubt in check(examined):
            doubts_by_cell.setdefault(doubt.name, []).append(doubt)
    itself = {
        name for name, doubts in doubts_by_cell.items() if any(examined.compared_with.get(doubt) not in doubts_by_cell for doubt in doubts)
    }
    left = [
        doubts
        for name, doubts in doubts_by_cell.items()
        if name in itself or not all(examined.compared_with[doubt] in itself for doubt in doubts)
    ]
    order = {sheet.table.file: at for at, sheet in enumerate(sheets.values())}
    return tuple(sorted(map(_together, left), key=lambda doubt: (order[doubt.file], doubt.line, doubt.column)))


def _together(doubts: list[Doubt]) -> Doubt:
    return replace(doubts[0], reason="; ".join(dict.fromkeys(doubt.reason for doubt in doubts)))

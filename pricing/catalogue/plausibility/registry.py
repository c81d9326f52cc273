"""The registry of checks of meaning. To add one, write it in the module of its family and list it here."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from pricing.catalogue.plausibility import costs, taxes
from pricing.catalogue.plausibility.examined import Examined
from pricing.catalogue.reading import Sheets
from pricing.errors import Doubt

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue

CHECKS: tuple[Callable[[Examined], Iterator[Doubt]], ...] = (taxes.rates, costs.costs, costs.reels)


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

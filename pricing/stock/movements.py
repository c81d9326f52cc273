"""Stock movements: carrying out a cutting plan removes the objects cut and adds the remnants kept; undoing reverses it. Pure; nothing is stored."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from pricing.rows import Spool, StockRow


class NotThere(Exception):
    """Objects that are not in stock as required, each with the reason in words. Nothing was changed."""

    def __init__(self, reasons: Sequence[str]) -> None:
        super().__init__("; ".join(reasons))
        self.reasons = tuple(reasons)


@dataclass(frozen=True, slots=True)
class Moved:
    """A stock movement: rows removed (with the number taken), spools bought for it, and rows added.

    `kept_as` maps each remnant of the plan to its stock tag.
    """

    removed: tuple[tuple[StockRow, int], ...]
    bought: tuple[tuple[Spool, int], ...]
    added: tuple[StockRow, ...]
    kept_as: tuple[tuple[str, str], ...]


def take(plan: Mapping[str, Any], shelf: Iterable[StockRow], spools: Iterable[Spool], cent: Decimal, tags: Callable[[], str]) -> Moved:
    """The stock movement for a plan document. `cent` is the smallest amount of money; `tags` returns the next tag for a remnant.

    Raises NotThere, listing every object that was cut, moved or changed since the plan was made.
    """
    rows, offered = {row.id: row for row in shelf}, {spool.id: spool for spool in spools}
    uses = [(wire["wire"]["sku"], use) for wire in plan["wires"] for use in wire["uses"]]
    wanted = Counter((sku, use["stock"], use["length"]["mm"]) for sku, use in uses)
    if missing := list(_missing(wanted, rows, offered)):
        raise NotThere(missing)
    added, kept_as = [], []
    for _, use in uses:
        if use["remnant_kept"]:
            tag = tags()
            added.append(_remnant(use, rows.get(use["stock"]) or offered[use["stock"]], tag, cent))
            kept_as.append((use["remnant_id"], tag))
    removed = tuple((rows[name], many) for (_, name, _), many in wanted.items() if name in rows)
    bought = tuple((offered[name], many) for (_, name, _), many in wanted.items() if name not in rows)
    return Moved(removed, bought, tuple(added), tuple(kept_as))


def reverse(moved: Moved, shelf: Iterable[StockRow]) -> Moved:
    """The movement that reverses another. Raises NotThere if a remnant has since been cut or recounted."""
    rows = {row.id: row for row in shelf}
    gone = [f"{row.id} is no longer on the shelf as it was put there" for row in moved.added if rows.get(row.id) != row]
    gone += [f"{row.id} is on the shelf with another length" for row, _ in moved.removed if row.id in rows and not _same(rows[row.id], row)]
    if gone:
        raise NotThere(gone)
    return Moved(tuple((row, 1) for row in moved.added), (), tuple(replace(row, count=many) for row, many in moved.removed), ())


def after(moved: Moved, shelf: Iterable[StockRow]) -> tuple[StockRow, ...]:
    """The stock after a movement: rows by id, without those that are used up."""
    rows = {row.id: row for row in shelf}
    for row, many in moved.removed:
        rows[row.id] = replace(rows[row.id], count=rows[row.id].count - many)
    for row in moved.added:
        held = rows.get(row.id)
        rows[row.id] = row if held is None else replace(held, count=held.count + row.count)
    return tuple(rows[name] for name in sorted(rows) if rows[name].count)


def _missing(wanted: Mapping[tuple[str, str, str], int], rows: Mapping[str, StockRow], offered: Mapping[str, Spool]) -> Iterator[str]:
    for (sku, name, length), many in wanted.items():
        row = rows.get(name) or offered.get(name)
        if row is None:
            yield f"{name} is not on the shelf, nor a spool that can be bought"
        elif row.wire != sku or not Decimal(length) <= row.length < Decimal(length) + Decimal("0.1"):
            yield f"{name} is not {length} mm of {sku} any more"
        elif isinstance(row, StockRow) and row.count < many:
            yield f"{name} is needed {many} times and there {row.count} times"


def _remnant(use: Mapping[str, Any], cut: StockRow | Spool, tag: str, cent: Decimal) -> StockRow:
    """The remnant as a stock row, with the same value per metre as the whole; the remnant of a spool is an opened spool."""
    by_metre = cut.price_per_metre if isinstance(cut, StockRow) else None
    if by_metre is None:
        by_metre = ((cut.price or Decimal(0)) / cut.length * 1000).quantize(cent, ROUND_HALF_UP)
    kind = "offcut" if isinstance(cut, StockRow) and cut.kind == "offcut" else "opened"
    return StockRow(tag, cut.wire, kind, Decimal(use["remnant"]["mm"]), None, by_metre, 1, None, f"remnant of {use['object']}")


def _same(one: StockRow, other: StockRow) -> bool:
    return replace(one, count=0) == replace(other, count=0)

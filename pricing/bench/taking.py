"""What a carried-out cutting plan does to the shelf: the objects it cut are gone, the rests it keeps are there. Pure; nothing is stored."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from pricing.catalogue.rows import Spool, StockRow


class NotThere(Exception):
    """Objects that are not on the shelf as they are needed, each with the reason in words. Nothing was changed."""

    def __init__(self, reasons: Sequence[str]) -> None:
        super().__init__("; ".join(reasons))
        self.reasons = tuple(reasons)


@dataclass(frozen=True, slots=True)
class Moved:
    """A movement: rows that left the shelf (with how many of them), spools bought for it, rows that came to the shelf.

    `kept_as` names each rest of the plan by the tag under which it is on the shelf.
    """

    out: tuple[tuple[StockRow, int], ...]
    bought: tuple[tuple[Spool, int], ...]
    came: tuple[StockRow, ...]
    kept_as: tuple[tuple[str, str], ...]


def take(plan: Mapping[str, Any], shelf: Iterable[StockRow], spools: Iterable[Spool], cent: Decimal, tags: Callable[[], str]) -> Moved:
    """The movement of a plan document. `cent` is the least amount of money, `tags` gives the next tag for a rest.

    Raises NotThere, with every object that was cut, moved or changed since the plan was made.
    """
    rows, offered = {row.id: row for row in shelf}, {spool.id: spool for spool in spools}
    uses = [(wire["wire"]["sku"], use) for wire in plan["wires"] for use in wire["uses"]]
    wanted = Counter((sku, use["stock"], use["length"]["mm"]) for sku, use in uses)
    if missing := list(_missing(wanted, rows, offered)):
        raise NotThere(missing)
    came, kept_as = [], []
    for _, use in uses:
        if use["rest_kept"]:
            tag = tags()
            came.append(_rest(use, rows.get(use["stock"]) or offered[use["stock"]], tag, cent))
            kept_as.append((use["rest_id"], tag))
    out = tuple((rows[name], many) for (_, name, _), many in wanted.items() if name in rows)
    bought = tuple((offered[name], many) for (_, name, _), many in wanted.items() if name not in rows)
    return Moved(out, bought, tuple(came), tuple(kept_as))


def undo(moved: Moved, shelf: Iterable[StockRow]) -> Moved:
    """The movement that puts everything back. Raises NotThere where a rest was cut or counted otherwise since."""
    rows = {row.id: row for row in shelf}
    gone = [f"{row.id} is no longer on the shelf as it was put there" for row in moved.came if rows.get(row.id) != row]
    gone += [f"{row.id} is on the shelf with another length" for row, _ in moved.out if row.id in rows and not _same(rows[row.id], row)]
    if gone:
        raise NotThere(gone)
    return Moved(tuple((row, 1) for row in moved.came), (), tuple(replace(row, count=many) for row, many in moved.out), ())


def after(moved: Moved, shelf: Iterable[StockRow]) -> tuple[StockRow, ...]:
    """The shelf after a movement: rows by id, without those of which none is left."""
    rows = {row.id: row for row in shelf}
    for row, many in moved.out:
        rows[row.id] = replace(rows[row.id], count=rows[row.id].count - many)
    for row in moved.came:
        held = rows.get(row.id)
        rows[row.id] = row if held is None else replace(held, count=held.count + row.count)
    return tuple(rows[name] for name in sorted(rows) if rows[name].count)


def _missing(wanted: Mapping[tuple[str, str, str], int], rows: Mapping[str, StockRow], offered: Mapping[str, Spool]) -> Iterator[str]:
    for (sku, name, length), many in wanted.items():
        found = rows.get(name) or offered.get(name)
        if found is None:
            yield f"{name} is not on the shelf, nor a spool that can be bought"
        elif found.wire != sku or not Decimal(length) <= found.length < Decimal(length) + Decimal("0.1"):
            yield f"{name} is not {length} mm of {sku} any more"
        elif isinstance(found, StockRow) and found.count < many:
            yield f"{name} is needed {many} times and there {found.count} times"


def _rest(use: Mapping[str, Any], cut: StockRow | Spool, tag: str, cent: Decimal) -> StockRow:
    """The rest on the shelf, worth by the metre what the whole was; a rest of a spool is an opened spool."""
    by_metre = cut.price_per_metre if isinstance(cut, StockRow) else None
    if by_metre is None:
        by_metre = ((cut.price or Decimal(0)) / cut.length * 1000).quantize(cent, ROUND_HALF_UP)
    kind = "offcut" if isinstance(cut, StockRow) and cut.kind == "offcut" else "opened"
    return StockRow(tag, cut.wire, kind, Decimal(use["rest"]["mm"]), None, by_metre, 1, None, f"rest of {use['object']}")


def _same(one: StockRow, other: StockRow) -> bool:
    return replace(one, count=0) == replace(other, count=0)

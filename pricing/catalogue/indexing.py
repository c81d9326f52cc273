"""Indexes over the tables, built once when the catalogue is compiled."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable
from decimal import Decimal
from typing import TypeVar

from pricing import rows
from pricing.catalogue.lookup import Article, Index, Tables, takes

K = TypeVar("K", bound=Hashable)
R = TypeVar("R")


def _grouped(table: Iterable[R], keys: Callable[[R], Iterable[K]]) -> dict[K, tuple[R, ...]]:
    groups: dict[K, list[R]] = defaultdict(list)
    for row in table:
        for key in keys(row):
            groups[key].append(row)
    return {key: tuple(group) for key, group in groups.items()}


def _single(table: Iterable[R], keys: Callable[[R], Iterable[K]]) -> dict[K, R]:
    return {key: group[0] for key, group in _grouped(table, keys).items()}


def index_of(tables: Tables) -> Index:
    """Build the indexes for the catalogue's look-ups. Of rows that succeed each other under one key, a single-row look-up finds the first."""
    wires = sorted(tables.wires, key=lambda row: row.diameter)
    articles = _articles(tables)
    return Index(
        article=articles,
        wire=_single(wires, lambda row: [(row.construction, row.material, row.diameter)]),
        wires={row.sku: row for row in wires},
        wires_of=_grouped(wires, lambda row: [(row.construction, row.material)]),
        terminals=_grouped(tables.terminals, _terminal_keys),
        thread={row.designation: row for row in tables.threads},
        body=_single(tables.turnbuckle_bodies, lambda row: [(row.body, row.thread)]),
        screws=_grouped(tables.screws, lambda row: [(row.thread, row.end)]),
        links=_grouped(sorted(tables.links, key=lambda row: row.pin), lambda row: [row.kind]),
        pins=_grouped(sorted(tables.pins, key=lambda row: row.grip), lambda row: [row.diameter]),
        cotter=_single(tables.cotters, lambda row: [row.diameter]),
        thimble=_grouped(tables.thimbles, lambda row: row.wire_sizes),
        sleeve=_grouped(tables.sleeves, lambda row: [(kind, size) for kind in row.constructions for size in row.wire_sizes]),
        balls=_grouped(sorted(tables.balls, key=lambda row: row.ball), lambda row: row.wire_sizes),
        labour=_labour(tables.labour, {row.diameter for row in wires}),
        own_work={row.operation: row for row in tables.labour if row.counted_by is not None},
        growth={(row.terminal, row.construction, row.wire_size): row for row in tables.growths},
        cone=_single(tables.cones, lambda row: [(kind, size) for kind in row.constructions for size in row.wire_sizes]),
        locknut=_single(tables.locknuts, lambda row: [(row.thread, row.hand)]),
        backing_plate=_single(tables.backing_plates, lambda row: row.wire_sizes),
        tells_of_cotter_holes=any(row.cotter_hole is not None for table in (tables.screws, tables.terminals) for row in table),
        last_days=tuple(sorted({row.until for row in articles.values() if not isinstance(row, rows.Labour) and row.until is not None})),
    )


def _articles(tables: Tables) -> dict[str, Article]:
    sold: tuple[tuple[Article, ...], ...] = (
        tables.wires, tables.terminals, tables.turnbuckle_bodies, tables.screws, tables.links, tables.pins, tables.cotters,
        tables.thimbles, tables.sleeves, tables.balls, tables.labour, tables.cones, tables.locknuts,
        tables.backing_plates, tables.sold_only,
    )  # fmt: skip
    return {row.sku: row for table in sold for row in table}


def _terminal_keys(row: rows.Terminal) -> list[tuple[str, str, str, Decimal]]:
    return [(row.family, row.attachment, kind, size) for kind in row.constructions for size in row.wire_sizes]


def _labour(table: tuple[rows.Labour, ...], diameters: Iterable[Decimal]) -> dict[tuple[str, Decimal], rows.Labour]:
    return {(row.operation, size): row for size in diameters for row in table if takes(row, size)}

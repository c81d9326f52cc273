"""Converts bins to a plan with names, positions and money."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from itertools import chain

from .job import Answer, Bin
from .model import Cut, Note, Piece, Policy, Source, Stock, Totals, Unplanned, Use
from .scaling import Scaled, tenths
from .together import Placed, Together

_BENCH = {Source.OFFCUT: 0, Source.OPENED: 1, Source.NEW: 2}


@dataclass
class _Rows:
    """Remaining rows of one piece type, in input order."""

    left: dict[int, int]
    groups: dict[str, list[int]] = field(default_factory=dict)

    def take(self, wanted: int, near: set[str], pieces: Sequence[Piece]) -> Iterator[int]:
        """Rows for this many pieces, first those whose group is in `near`, the groups already on the object."""
        friends = [row for group in near & self.groups.keys() for row in self.groups[group]]
        for row in chain(sorted(friends), self.left):
            while wanted and self.left.get(row):
                self.left[row] -= 1
                wanted -= 1
                yield row
            if not wanted:
                break
        for row in self._spent():
            del self.left[row]

    def _spent(self) -> list[int]:
        spent = []
        for row, count in self.left.items():
            if count:
                break
            spent.append(row)
        return spent


def tenth(length: int) -> Decimal:
    """Convert tenths of a millimetre to mm."""
    return Decimal(length).scaleb(-1)


class Reporter:
    """Converts the bins of an answer to named uses."""

    def __init__(self, scaled: Scaled, pieces: Sequence[Piece], stock: Sequence[Stock], policy: Policy) -> None:
        self.scaled, self.pieces, self.stock, self.policy = scaled, pieces, stock, policy
        self.rows = [self._rows(members) for members in scaled.members]
        self.taken = {row.id for row in stock}

    def _rows(self, members: tuple[int, ...]) -> _Rows:
        remaining = _Rows({row: self.pieces[row].quantity for row in members})
        for row in members:
            if (group := self.pieces[row].group) is not None:
                remaining.groups.setdefault(group, []).append(row)
        return remaining

    def uses(self, bins: list[tuple[Bin, Placed]]) -> tuple[Use, ...]:
        """Touched objects in bench order: offcuts, opened spools, then new spools, each sorted by id."""
        named = sorted(self._named(bins), key=lambda entry: entry[:3])
        return tuple(self._use(row, copy, bin_, rows) for _, _, copy, row, bin_, rows in named)

    def together(self, solution: Answer) -> list[tuple[Bin, Placed]]:
        """Each object with its pieces as (type, row), keeping groups together as far as that costs nothing."""
        bins = sorted(solution.bins, key=lambda b: (-b.used, b.content))
        placed = [list(self._placed(bin_)) for bin_ in bins]
        if all(piece.group is None for piece in self.pieces):
            return list(zip(bins, placed, strict=True))
        return Together(self.scaled.job, [bin_.kind for bin_ in bins], placed, self.pieces).run()

    def _placed(self, bin_: Bin) -> Iterator[tuple[int, int]]:
        near = set[str]()
        for piece_type, count in bin_.content:
            for row in self.rows[piece_type].take(count, near, self.pieces):
                yield piece_type, row
                if (group := self.pieces[row].group) is not None:
                    near.add(group)

    def _named(self, bins: list[tuple[Bin, Placed]]) -> Iterator[tuple[int, str, int, int, Bin, Placed]]:
        by_kind: dict[int, list[tuple[Bin, Placed]]] = defaultdict(list)
        for entry in sorted(bins, key=lambda entry: (-entry[0].used, entry[0].content)):
            by_kind[entry[0].kind].append(entry)
        for kind, entries in by_kind.items():
            copies = self._copies(kind)
            for bin_, placed in entries:
                row, copy = next(copies)
                yield _BENCH[self.stock[row].source], self.stock[row].id, copy, row, bin_, placed

    def _copies(self, kind: int) -> Iterator[tuple[int, int]]:
        for row, count in self.scaled.job.kinds[kind].rows:
            copy = 0
            while count is None or copy < count:
                copy += 1
                yield row, copy

    def _use(self, row: int, copy: int, bin_: Bin, placed: Placed) -> Use:
        stock, kind = self.stock[row], self.scaled.job.kinds[bin_.kind]
        name = self._name(stock, copy)
        used = bin_.used * kind.step
        remnant = kind.length - used
        worth = kind.remnant_value(remnant)
        remnant_id = None if worth is None else f"{name}/remnant"
        cuts = tuple(self._cuts(placed))
        money = self.scaled.money
        return Use(stock.id, name, stock.source, stock.length, cuts, tenth(used), tenth(remnant), remnant_id,
                   money(worth or 0), money(kind.cost(bin_.used)))  # fmt: skip

    def _name(self, stock: Stock, copy: int) -> str:
        if stock.count == 1:
            return stock.id
        name = f"{stock.id}#{copy}"
        while name in self.taken:
            name += "+"
        self.taken.add(name)
        return name

    def _cuts(self, placed: Placed) -> Iterator[Cut]:
        start, allowance = 0, tenths(self.policy.allowance)
        for _, row in placed:
            piece = self.pieces[row]
            end = start + tenths(piece.length)
            yield Cut(piece.length, tenth(start), tenth(end), piece.label, piece.group, row)
            start = end + allowance

    def unplanned(self) -> tuple[Unplanned, ...]:
        """Pieces that are too long, and those left over; call after `uses`."""
        unplanned = list(self.scaled.too_long)
        for rows in self.rows:
            for row, count in rows.left.items():
                if count:
                    piece = self.pieces[row]
                    unplanned.append(Unplanned(row, piece.label, piece.length, count, "stock_exhausted"))
        return tuple(sorted(unplanned, key=lambda entry: entry.row))


def totals(uses: Sequence[Use], policy: Policy) -> Totals:
    """How the length of all touched objects is used, in mm."""
    pieces = sum((cut.length for use in uses for cut in use.cuts), Decimal(0))
    cuts = sum(len(use.cuts) for use in uses)
    kept = sum((use.remnant for use in uses if use.kept), Decimal(0))
    scrap = sum((use.remnant for use in uses if not use.kept), Decimal(0))
    return Totals(sum((use.length for use in uses), Decimal(0)), pieces, cuts * policy.allowance, kept, scrap)


def scrapped(uses: Sequence[Use], policy: Policy) -> tuple[Note, ...]:
    """A note for each remnant that is long enough to keep but worth less than it costs to keep."""
    long = [use for use in uses if use.remnant and not use.kept and use.remnant >= policy.least_remnant]
    if policy.remnant_fee.is_infinite():
        return ()
    return tuple(Note("remnant_not_worth_keeping", use.object_id, remnant=use.remnant) for use in long)


def split_groups(uses: Sequence[Use]) -> tuple[Note, ...]:
    """A note for each group whose pieces are cut from more than one stock object."""
    where: dict[str, list[str]] = defaultdict(list)
    for use in uses:
        for group in sorted({cut.group for cut in use.cuts if cut.group is not None}):
            where[group].append(use.object_id)
    return tuple(Note("group_split", group, objects=tuple(objects)) for group, objects in where.items() if len(objects) > 1)

"""Brings pieces of one group onto one object as far as that costs nothing: equal pieces are exchanged, others only if the plan costs no more.

Up to here a plan says only how many pieces of each length an object gives; pieces of equal length are distinguished only here. Two unequal
pieces may be exchanged, or one moved, if both objects can hold the result and together cost no more, as with kept remnants valued by length.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence

from .job import Bin, Job
from .model import Piece

#: Exchanges considered; a boat's pairs take a few hundred.
_LOOKS = 100_000
#: Pieces sorted in the time of one look.
_SORTED = 8

Placed = list[tuple[int, int]]


class Together:
    """Objects with their (piece type, row), exchanged until no exchange brings more groups together."""

    def __init__(self, job: Job, kinds: Sequence[int], placed: list[Placed], pieces: Sequence[Piece]) -> None:
        self.job, self.kinds, self.placed, self.pieces = job, kinds, placed, pieces
        self.where: dict[str, Counter[int]] = defaultdict(Counter)
        self.looks = _LOOKS
        for at, content in enumerate(placed):
            for _, row in content:
                if (group := pieces[row].group) is not None:
                    self.where[group][at] += 1
        self.used = [sum(job.sizes[kind] for kind, _ in content) for content in placed]

    def run(self) -> list[tuple[Bin, Placed]]:
        """The resulting objects, without empty ones."""
        while self.looks > 0 and any(self._unite(group) for group in self._split()):
            pass
        objects = []
        for kind, content in zip(self.kinds, self.placed, strict=True):
            if content:
                content.sort()
                objects.append((self.job.bin(kind, [(piece, 1) for piece, _ in content]), content))
        return objects

    def _split(self) -> list[str]:
        return [group for group, objects in self.where.items() if len(objects) > 1]

    def _unite(self, group: str) -> bool:
        """Bring one more piece of the group to the others; returns whether that was possible."""
        objects = sorted(self.where[group], key=lambda at: (-self.where[group][at], at))
        return any(self._moved(group, source, target) for target in objects for source in objects if source != target)

    def _moved(self, group: str, source: int, target: int) -> bool:
        for n, (_, row) in enumerate(self.placed[source]):
            if self.pieces[row].group == group:
                self.looks -= len(self.placed[target]) // _SORTED
                for m in self._partners(n, source, target, group):
                    self.looks -= 1
                    if self.looks <= 0:
                        return False
                    if self._better(n, source, m, target):
                        self._exchange(n, source, m, target)
                        return True
        return False

    def _partners(self, n: int, source: int, target: int, group: str) -> Iterator[int | None]:
        """The target's pieces that can go back in exchange, by place: equal lengths first, then None (nothing), then the closest in length."""
        size = self.job.sizes[self.placed[source][n][0]]
        others = [m for m, (_, row) in enumerate(self.placed[target]) if self.pieces[row].group != group]
        others.sort(key=lambda m: (abs(self.job.sizes[self.placed[target][m][0]] - size), m))
        equal = [m for m in others if self.job.sizes[self.placed[target][m][0]] == size]
        return iter([*equal, None, *others[len(equal) :]])

    def _better(self, n: int, source: int, m: int | None, target: int) -> bool:
        """Whether the exchange leaves groups spread over fewer objects, at no more cost."""
        give, back = self.placed[source][n], None if m is None else self.placed[target][m]
        more = self.job.sizes[give[0]] - (0 if back is None else self.job.sizes[back[0]])
        if self.used[target] + more > self.job.kinds[self.kinds[target]].capacity:
            return False
        if self.used[source] - more > self.job.kinds[self.kinds[source]].capacity:
            return False
        if self._spread(give[1], source, target) + (0 if back is None else self._spread(back[1], target, source)) >= 0:
            return False
        return self._cost(source, -more) + self._cost(target, more) <= self._cost(source, 0) + self._cost(target, 0)

    def _spread(self, row: int, source: int, target: int) -> int:
        """The change in the number of objects that this piece's group is spread over, if it moves."""
        group = self.pieces[row].group
        if group is None:
            return 0
        objects = self.where[group]
        return (target not in objects) - (objects[source] == 1)

    def _cost(self, at: int, more: int) -> int:
        used = self.used[at] + more
        return self.job.kinds[self.kinds[at]].cost(used) if used else 0

    def _exchange(self, n: int, source: int, m: int | None, target: int) -> None:
        give = self.placed[source].pop(n)
        back = None if m is None else self.placed[target].pop(m)
        self._put(give, source, target)
        if back is not None:
            self._put(back, target, source)

    def _put(self, piece: tuple[int, int], source: int, target: int) -> None:
        self.placed[target].append(piece)
        size, group = self.job.sizes[piece[0]], self.pieces[piece[1]].group
        self.used[source] -= size
        self.used[target] += size
        if group is not None:
            objects = self.where[group]
            objects[target] += 1
            objects[source] -= 1
            if not objects[source]:
                del objects[source]

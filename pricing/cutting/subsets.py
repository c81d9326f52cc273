"""Min-plus convolution over counts of equal pieces: the kernel of the exact table.

A state is a vector of counts, numbered in mixed radix (last digit fastest), so that the number of a difference is the difference of the
numbers. `convolve` gives, for every state T, the least a[S] + b[T - S].
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import prod

import numpy as np
import numpy.typing as npt

from .job import Ints

Index = npt.NDArray[np.intp]
#: No plan. Two of them still fit into 64 bits.
NEVER = 1 << 61
#: Pairs of states processed by one vector operation.
BLOCK = 60_000
_SPARSE_CALL, _PER_PAIR, _PER_ENTRY = 8.0, 0.0035, 0.0012  # microseconds, measured


@dataclass(frozen=True, slots=True)
class Pairs:
    """All (S, T - S) with S within T, ordered by T; `starts` is where each T begins."""

    part: Index
    other: Index
    starts: Index


def transitions(shape: tuple[int, ...]) -> int:
    """Number of pairs (S within T)."""
    return prod(n * (n + 1) // 2 for n in shape)


@lru_cache(maxsize=64)
def pairs(shape: tuple[int, ...]) -> Pairs:
    """The pairs of a small shape, up to about a megabyte; cached, since making them costs more than using them."""
    whole = part = np.zeros(1, dtype=np.intp)
    for n in shape:
        t, s = (axis.ravel() for axis in np.tril_indices(n))
        whole = np.add.outer(whole * n, t).ravel()
        part = np.add.outer(part * n, s).ravel()
    order = np.argsort(whole, kind="stable")
    whole, part = whole[order].astype(np.intp), part[order].astype(np.intp)
    starts = np.flatnonzero(np.diff(whole, prepend=-1)).astype(np.intp)
    return Pairs(part, whole - part, starts)


@lru_cache(maxsize=4)
def counts(shape: tuple[int, ...]) -> npt.NDArray[np.int32]:
    """The count vector of every state, one row each."""
    return np.indices(shape, dtype=np.int32).reshape(len(shape), -1).T.copy()


def convolve(shape: tuple[int, ...], a: Ints, b: Ints) -> Ints:
    """For every state T, the least a[S] + b[T - S] over all S within T."""
    if not shape or transitions(shape) <= BLOCK:
        table = pairs(shape)
        sums = a.take(table.part)
        sums += b.take(table.other)
        least: Ints = np.minimum.reduceat(sums, table.starts)
        return np.minimum(least, NEVER, out=least)
    rest, size = shape[1:], prod(shape[1:])
    made = np.full(a.shape, NEVER, dtype=np.int64)
    for t in range(shape[0]):
        block = made[t * size : (t + 1) * size]
        for s in range(t + 1):
            left, right = a[s * size : (s + 1) * size], b[(t - s) * size : (t - s + 1) * size]
            np.minimum(block, convolve(rest, left, right), out=block)
    return made


def sparse(shape: tuple[int, ...], a: Ints, b: Ints, parts: Index) -> Ints:
    """`convolve` for an a that is finite only at `parts` and, at no cost, at zero."""
    least = b.copy()
    grid, source = least.reshape(shape), b.reshape(shape)
    vectors = counts(shape)
    for part in parts.tolist():
        vector = vectors[part].tolist()
        target = grid[tuple([slice(n, None) for n in vector])]
        origin = source[tuple([slice(None, top - n) for n, top in zip(vector, shape, strict=True)])]
        np.minimum(target, origin + a[part], out=target)
    return np.minimum(least, NEVER, out=least)


def cheapest_way(shape: tuple[int, ...], parts: Index) -> tuple[bool, float]:
    """Whether `sparse` beats `convolve` for these parts, and the estimated microseconds of the better one."""
    dense = 20 + transitions(shape) * _PER_PAIR
    if len(parts) * _SPARSE_CALL > dense:
        return False, dense
    reach = (np.array(shape) - counts(shape)[parts]).prod(axis=1, dtype=np.int64).sum()
    few = len(parts) * _SPARSE_CALL + float(reach) * _PER_ENTRY
    return few < dense, min(few, dense)


def closure(shape: tuple[int, ...], a: Ints) -> Ints:
    """For every state, the least sum of a over any number of parts that make it up."""
    least = np.full(a.shape, NEVER, dtype=np.int64)
    least[0] = 0
    size = 1
    for axis in range(len(shape) - 1, -1, -1):
        low = shape[axis + 1 :]
        for t in range(1, shape[axis]):
            block = least[t * size : (t + 1) * size]
            for s in range(1, t + 1):
                rest = least[(t - s) * size : (t - s + 1) * size]
                np.minimum(block, convolve(low, a[s * size : (s + 1) * size], rest), out=block)
        size *= shape[axis]
    return least

"""Columns that scale with a size: the plausible range of each, absolute and relative to the row's neighbours."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy
import pandas

from pricing.catalogue.plausibility import neighbours
from pricing.catalogue.plausibility.examined import Examined
from pricing.errors import Doubt

PRACTICE = "common practice, no source"
LOOSER = 1.6
LEAST_ALIKE = 4  # rows that must all be zero, or all not, before the odd one is doubted


@dataclass(frozen=True, slots=True)
class Scale:
    """How a column's value scales with another of its row.

    `low` and `high` bound value / by**power for any shop (`by` blank: the value itself), in the units of `Examined.frame`; `play` is an
    amount by which a value may exceed these bounds and differ from its neighbours, such as the rounding of a small mass. `among`: columns
    that neighbours share. `apart`: the factor from the neighbours beyond which a value is doubted; 0: no comparison with neighbours.
    `value`: the frame's column that is compared, if it is not `column` itself. `source` is the source of the bounds.
    """

    column: str
    by: str
    low: float
    high: float
    power: float = 1.0
    among: tuple[str, ...] = ()
    apart: float = 2.0
    play: float = 0.0
    value: str = ""
    source: str = PRACTICE


@dataclass(frozen=True, slots=True)
class Wording:
    """Words for a table's rows and sizes: `rows` makes them from a row's cells, `by` has a template for each size column."""

    rows: Callable[[Any], str]
    by: dict[str, str]


def scaled(examined: Examined, kind: str, frame: pandas.DataFrame, scales: Iterable[Scale], wording: Wording) -> Iterator[Doubt]:
    """The doubts about a table's columns. `frame` is the table's frame, with extra columns for the sizes that the scales use."""
    for scale in scales:
        name = scale.value or scale.column
        if name not in frame or (scale.by and scale.by not in frame):
            continue
        chosen = frame[frame[name].notna() & (frame[scale.by].notna() & (frame[scale.by] > 0) if scale.by else True)]
        if chosen.empty:
            continue
        groups = chosen.groupby(list(scale.among), sort=False) if scale.among else [("", chosen)]
        for _, group in groups:
            yield from _of_group(examined, kind, group, scale, wording)


def _of_group(examined: Examined, kind: str, group: pandas.DataFrame, scale: Scale, wording: Wording) -> Iterator[Doubt]:
    value = group[scale.value or scale.column].to_numpy(dtype=float)
    size = group[scale.by].to_numpy(dtype=float) if scale.by else numpy.ones(len(group))
    unit = size**scale.power
    low, high = scale.low * unit - scale.play, scale.high * unit + scale.play
    outside = (value < low - 1e-9) | (value > high + 1e-9)
    ratio, far, factor = numpy.zeros(len(group)), numpy.zeros(len(group), dtype=bool), scale.apart
    positive = value > 0
    if scale.apart and positive.sum() > 1:
        compared = numpy.zeros(len(group))
        ratio[positive], compared[positive] = neighbours.apart(size[positive], value[positive], scale.power)
        large = value > 2 * scale.play  # smaller values are mostly rounding, and no measure for larger ones
        if scale.play and large.sum() > LEAST_ALIKE:
            ratio[large], compared[large] = neighbours.apart(size[large], value[large], scale.power)
        usual = value * numpy.exp(-ratio)
        factor = factor_of(scale, size)
        far = positive & (compared > 0) & (numpy.abs(ratio) > math.log(factor)) & (numpy.abs(value - usual) > scale.play)
    lone = _alone(positive) if scale.apart else numpy.zeros(len(group), dtype=bool)
    for at in numpy.flatnonzero(outside | far | lone).tolist():
        row, of = group.iloc[at], scale.column
        cell = _compared(scale, size[at], wording, row)
        shown = number(kind, of, value[at])
        if lone[at] and not outside[at]:
            expected = "0, as its neighbours have" if positive[at] else "a value above 0, as its neighbours have"
            reason = f"{shown} where {cell} have {'none' if positive[at] else 'some'}"
        elif far[at]:
            least, most = _span(value[at], ratio[at], factor, scale.play)
            expected = f"about {number(kind, of, value[at] * math.exp(-ratio[at]))}, as its neighbours have"
            reason = f"{shown} where {cell} have {number(kind, of, least)} to {number(kind, of, most)} by their neighbours"
        else:
            expected = f"{number(kind, of, max(low[at], 0.0))} to {number(kind, of, high[at])} ({scale.source})"
            reason = f"{shown} where {cell} have {number(kind, of, max(low[at], 0.0))} to {number(kind, of, high[at])}"
        yield examined.doubt(kind, int(group.index[at]), scale.column, expected, reason, MADE_OF.get(scale.by, scale.by))


def _alone(positive: Any) -> Any:
    """Flags for a single zero among values, or a single value among zeros."""
    many, above = len(positive), int(positive.sum())
    lone = numpy.zeros(many, dtype=bool)
    if many > LEAST_ALIKE and above == 1:
        lone |= positive
    if many > LEAST_ALIKE and above == many - 1:
        lone |= ~positive
    return lone


def factor_of(scale: Scale, size: Any) -> float:
    """The factor from the neighbours beyond which a value is doubted; larger where there are too few sizes to fit a power."""
    return scale.apart if len(numpy.unique(size)) >= neighbours.FEW or not scale.by else scale.apart**LOOSER


def _span(value: float, ratio: float, factor: float, play: float) -> tuple[float, float]:
    usual = value * math.exp(-ratio)
    return max(usual / factor - play, 0), usual * factor + play


def _compared(scale: Scale, size: float, wording: Wording, row: Any) -> str:
    """The rows that a row is compared with, in words, such as `forks on 5 mm wire`."""
    of = wording.by.get(scale.by, "")
    return f"{wording.rows(row)} {of.format(size=f'{size:.4g}')}".strip()


MADE_OF = {"wire": "wire_sizes", "thread_mm": "thread", "thread_mm2": "thread"}
LENGTH, MASS = "mm", "kg"
UNITS = {
    "mass": MASS, "break": "kN", "double_shear": "kN", "metallic": "mm2", "modulus": "GPa", "expansion": "1/K", "time": "min", "scrap": "%", "holds": "%",
    "percent": "%", "rate": "%", "per_eye": "", "count": "", "unit_price": "", "price": "", "price_per_metre": "", "touch": "", "from_quantity": "",
    "up_to_mass": MASS,
}  # fmt: skip


def number(kind: str, column: str, value: float) -> str:
    """A value with its column's unit, as the trade writes it: `1.42 m`, `12 g`, `13.5 kN`."""
    unit = "kg/100m" if (kind, column) == ("wires", "mass") else UNITS.get(column, LENGTH)
    if unit == LENGTH and value >= 1000:
        value, unit = value / 1000, "m"
    elif unit == MASS and value < 1:
        value, unit = value * 1000, "g"
    elif unit == "1/K":
        value, unit = value * 1e6, "um/m/K"
    return f"{value:.3g} {unit}".strip() if value < 1000 else f"{value:.0f} {unit}".strip()

"""Adds the sizes that columns scale with to a table's frame: wire diameter, thread diameter and area, the wire's strength."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from decimal import Decimal

import numpy
import pandas

from pricing.catalogue.plausibility.examined import Examined
from pricing.catalogue.threads import tensile_stress_area
from pricing.rows import Thread

NAN = float("nan")
# Metallic share of the circle, equal wires: geometry (19 of diameter d/5, and so on); compacted strand lies between 1x19 and the full circle.
SHARES = {"1x19": 19 / 25, "7x7": 49 / 81, "7x19": 133 / 225, "compacted_1x19": 0.87}


def sized(examined: Examined, kind: str) -> pandas.DataFrame:
    """A table's frame with columns for the sizes that its rows scale with.

    `wire`: diameter of the thickest wire a row takes (mm); `thread_mm`, `thread_mm2`: its thread's diameter and tensile stress area;
    `strongest`: break of the strongest wire it takes (kN).
    """
    key = f"sized {kind}"
    if key not in examined.kept:
        examined.kept[key] = _sized(examined, kind)
    return examined.kept[key]


def _sized(examined: Examined, kind: str) -> pandas.DataFrame:
    frame = examined.frame(kind).copy()
    if "wire_sizes" in frame:
        frame["wire"] = [float(max(sizes)) for sizes in frame["wire_sizes"]]
    if "thread" in frame:
        diameters, areas = _threads(examined)
        frame["thread_mm"] = [diameters.get(thread, NAN) for thread in frame["thread"]]
        frame["thread_mm2"] = [areas.get(thread, NAN) for thread in frame["thread"]]
    if "wire_sizes" in frame and "constructions" in frame:
        frame["strongest"] = _strongest(examined, frame)
    return frame


def _threads(examined: Examined) -> tuple[dict[str, float], dict[str, float]]:
    rows = [
        Thread(name, diameter, pitch, "")
        for _, (name, diameter, pitch) in examined.sheets["threads"].rows(("designation", "diameter", "pitch"))
    ]
    return {row.designation: float(row.diameter) for row in rows}, {row.designation: float(tensile_stress_area(row)) for row in rows}


def _strongest(examined: Examined, frame: pandas.DataFrame) -> list[float]:
    breaks: dict[tuple[str, Decimal], list[tuple[str, float]]] = defaultdict(list)
    for _, (construction, size, material, force) in examined.sheets["wires"].rows(("construction", "diameter", "material", "break")):
        breaks[construction, size].append((material, float(force)))
    of = frame["materials"] if "materials" in frame else [None] * len(frame)
    return [
        _median_of_best(
            [
                force
                for construction in constructions
                for size in sizes
                for material, force in breaks[construction, size]
                if materials is None or material in materials
            ]
        )
        for constructions, sizes, materials in zip(frame["constructions"], frame["wire_sizes"], of, strict=True)
    ]


def _median_of_best(forces: Iterable[float]) -> float:
    """The greatest force that is at most twice the median: beyond that, the wire's own row is doubted instead of its fittings."""
    ordered = sorted(forces)
    if not ordered:
        return NAN
    middle = float(numpy.median(ordered))
    return max((force for force in ordered if force <= 2 * middle), default=middle)

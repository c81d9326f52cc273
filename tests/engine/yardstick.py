"""The catalogue's CSV rows read apart from the engine, and geometry by second routes: polygons, summed rings, bisection. mm as floats."""

from __future__ import annotations

import csv
import math
import re
from fractions import Fraction
from functools import cache
from pathlib import Path

FOLDER = Path(__file__).resolve().parents[2] / "pricing" / "data"
TABLES = ("wires", "terminals", "turnbuckle_bodies", "screws", "links", "pins", "thimbles", "sleeves", "balls", "threads")
_SIZE = re.compile(r"(?:(\d+) )?(\d+)/(\d+) in|([\d.]+) (mm|in)")


def mm(text: str) -> float:
    """`1 1/4 in`, `3/16 in`, `0.107 in`, `51.4 mm` in millimetres (1 in = 25.4 mm)."""
    found = _SIZE.fullmatch(text.strip())
    if found is None:
        raise ValueError(text)
    whole, top, bottom, decimal, unit = found.groups()
    if top is not None:
        return float((int(whole or 0) + Fraction(int(top), int(bottom))) * Fraction(254, 10))
    return float(Fraction(decimal) * (Fraction(254, 10) if unit == "in" else 1))


@cache
def table(name: str) -> tuple[dict[str, str], ...]:
    """The rows of one CSV file, as text."""
    with (FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))


@cache
def articles() -> dict[str, tuple[str, dict[str, str]]]:
    """sku → (table, row)."""
    return {row["sku"]: (name, row) for name in TABLES if name != "threads" for row in table(name)}


def row_of(sku: str) -> dict[str, str]:
    """The row of an article."""
    return articles()[sku][1]


def of_kind(parts: list[dict], kind: str, at: str) -> list[dict[str, str]]:
    """Rows of the named parts of one table at one place, in their order."""
    return [row_of(part["sku"]) for part in parts if part["at"] == at and articles().get(part["sku"], ("", {}))[0] == kind]


@cache
def wire_loop(groove: float, wire: float, to_sleeve: float) -> float:
    """Centre-line of the wire round a thimble, sleeve face to sleeve face: the taut string round a fine polygon, by convex hull.

    Leg ends stand half a wire to either side of the axis on the sleeve face. 20 000 corners: the polygon is short by R·φ³/(24·n²) < 1e-6 mm.
    """
    big, corners = groove + wire / 2, 20_000
    points = [(big * math.cos(2 * math.pi * k / corners), to_sleeve + big * math.sin(2 * math.pi * k / corners)) for k in range(corners)]
    hull = _hull([*points, (-wire / 2, 0.0), (wire / 2, 0.0)])
    around = sum(math.dist(a, b) for a, b in zip(hull, [*hull[1:], hull[0]], strict=True))
    return around - wire  # the base between the two leg ends is no wire


def _hull(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Andrew's monotone chain."""
    ordered = sorted(points)

    def half(way: list[tuple[float, float]]) -> list[tuple[float, float]]:
        chain: list[tuple[float, float]] = []
        for x, y in way:
            while len(chain) > 1 and (
                (chain[-1][0] - chain[-2][0]) * (y - chain[-2][1]) <= (chain[-1][1] - chain[-2][1]) * (x - chain[-2][0])
            ):
                chain.pop()
            chain.append((x, y))
        return chain[:-1]

    return half(ordered) + half(ordered[::-1])


@cache
def metal_growth(before: float, bore: float, after: float, length: float, wire_metal: float) -> float:
    """Growth of a shank and the wire in it that keep their metal: rings of the blank are summed, and the wire's strands inside its swaged length;
    after swaging, the length of one solid round bar that holds them both is sought.

    `wire_metal` mm² is the wire's section. Bisection, 1e-9 mm.
    """
    rings = 4000
    width = (before - bore) / 2 / rings
    blank = length * sum(2 * math.pi * (bore / 2 + (k + 0.5) * width) * width for k in range(rings))
    blank += length * wire_metal
    low, high = 0.0, 10 * length
    while high - low > 1e-9:
        middle = (low + high) / 2
        low, high = (middle, high) if middle * math.pi * (after / 2) ** 2 < blank else (low, middle)
    return low - length


def ring_behind_centre(ball: float, slot: float) -> float:
    """How far the ring on which a ball sits in a slot lies from its centre: sought along the ball's outline, not by Pythagoras' root."""
    low, high = 0.0, math.pi / 2  # angle from the axis at which the outline is half a slot wide
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if ball / 2 * math.sin(middle) < slot / 2 else (low, middle)
    return ball / 2 * math.cos(low)

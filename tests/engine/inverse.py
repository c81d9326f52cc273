"""From a cut wire and named articles to the finished assembly: the way back, which shares no code with the engine's chain.

It reads the catalogue's CSV files itself, pushes the wire to the bottom of each bore, swages, screws and hangs, and returns where the bearing
surfaces end up. Lengths in mm as floats. Rules: domain of the trade (common practice) and geometry; no formula of the engine.
"""

from __future__ import annotations

import csv
import math
import re
from dataclasses import dataclass
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
    """Growth of a shank that keeps its metal: rings are summed before swaging; after it, the length that holds the same metal is sought.

    `wire_metal` mm² is solid inside the shank after swaging, the rest of its round section is the shank's metal. Bisection, 1e-9 mm.
    """
    rings = 4000
    width = (before - bore) / 2 / rings
    blank = length * sum(2 * math.pi * (bore / 2 + (k + 0.5) * width) * width for k in range(rings))
    low, high = 0.0, 10 * length
    while high - low > 1e-9:
        middle = (low + high) / 2
        low, high = (middle, high) if middle * (math.pi * (after / 2) ** 2 - wire_metal) < blank else (low, middle)
    return low - length


def swaged_growth(row: dict[str, str], wire: dict[str, str]) -> float:
    """The catalogue's growth; where there is none, that of the kept metal."""
    if row["attachment"] != "swage":
        return 0.0
    if row["growth"]:
        return mm(row["growth"])
    blank, bore, after, length = (mm(row[key]) for key in ("shank_before", "bore", "shank_after", "swaged_length"))
    return metal_growth(blank, bore, after, length, float(wire["metallic"].removesuffix(" mm2")))


def ring_behind_centre(ball: float, slot: float) -> float:
    """How far the ring on which a ball sits in a slot lies from its centre: sought along the ball's outline, not by Pythagoras' root."""
    low, high = 0.0, math.pi / 2  # angle from the axis at which the outline is half a slot wide
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if ball / 2 * math.sin(middle) < slot / 2 else (low, middle)
    return ball / 2 * math.cos(low)


@dataclass(frozen=True)
class Surface:
    """The outermost bearing so far: place outward of the wire's entry mark, its pin, and what stands there: jaw, hole, pin's face, other."""

    place: float
    kind: str
    pin: float = 0.0
    hole: float = 0.0
    tip: float = 0.0
    ball: float = 0.0


def terminal_surface(row: dict[str, str], wire: dict[str, str]) -> Surface:
    """Where a terminal bears, from the entry mark at its mouth."""
    place = mm(row["reach"]) + swaged_growth(row, wire)
    if row["family"] in ("fork", "toggle", "eye"):
        return Surface(place, "hole" if row["family"] == "eye" else "jaw", mm(row["pin"]), mm(row["hole"]), mm(row["tip"]))
    if row["family"] == "ball":
        return Surface(place, "ball", hole=mm(row["slot"]), ball=mm(row["ball"]))
    if row["family"] == "stud":
        return Surface(place, "stud", tip=mm(row["plain_tip"]))
    return Surface(place, "shoulder")


def hang(inner: Surface, link: dict[str, str]) -> Surface:
    """A toggle or shackle on what is there: pins are pulled both ways, so each member touches its own side of the pin between them."""
    pin, length = mm(link["pin"]), mm(link["length"])
    if inner.kind == "pin_face":  # the pin's face toward the wire is where the next one's hole or bow touches
        touches = inner.place
    elif inner.kind == "jaw":  # the inner member's pin: its outward face on the wall, the link on its inward face
        touches = (inner.place - inner.pin / 2) - inner.pin / 2
    elif link["kind"] == "shackle":  # bow straight through an eye or thimble
        touches = inner.place
    else:  # a toggle turned round, its own pin through the eye
        touches = (inner.place - pin / 2) - pin / 2
    if link["kind"] == "shackle":
        return Surface(touches + length, "pin_face", pin)
    if inner.kind in ("jaw", "pin_face"):
        return Surface(touches + length, "jaw", pin, mm(link["hole"]), mm(link["tip"]))
    return Surface(touches + length, "hole", pin, mm(link["inner_hole"]))


def screw_surface(row: dict[str, str], place: float) -> Surface:
    """A turnbuckle screw's own bearing."""
    return Surface(place, "hole" if row["end"] == "eye" else "jaw", mm(row["pin"]), mm(row["hole"]), mm(row["tip"]))


def turnbuckle_surface(
    inner: Surface, stud: dict[str, str] | None, body: dict[str, str], screws: list[dict[str, str]], exposed: tuple[float, float]
) -> Surface:
    """Body and screws on what is there; `exposed` is (toward the wire, toward the load), body face to run-out."""
    if stud is not None:
        (outer,) = screws
        runout = inner.place - mm(stud["thread_length"])
    else:
        near, outer = screws
        pin = inner.pin if inner.kind == "jaw" else mm(near["pin"])
        runout = inner.place - pin + mm(near["runout"])
    near_face = runout + exposed[0]
    far_face = near_face + mm(body["length"])
    return screw_surface(outer, far_face + exposed[1] + mm(outer["runout"]))


@dataclass(frozen=True)
class EndBuilt:
    """One end: wire beyond its entry mark, and the bearings from the terminal's own outward."""

    wire: float
    surfaces: tuple[Surface, ...]

    @property
    def outermost(self) -> Surface:
        return self.surfaces[-1]


def build_end(name: str, parts: list[dict], wire: dict[str, str], exposed: tuple[float, float] | None) -> EndBuilt:
    """Assemble one end from its parts list; `exposed` where the turnbuckle is at this end."""
    taken, surface, stud = _on_wire(name, parts, wire)
    surfaces = [surface]
    if exposed is not None:
        (body,) = of_kind(parts, "turnbuckle_bodies", "turnbuckle")
        surfaces.append(turnbuckle_surface(surface, stud, body, of_kind(parts, "screws", "turnbuckle"), exposed))
    for link in of_kind(parts, "links", name):
        surfaces.append(hang(surfaces[-1], link))
    return EndBuilt(taken, tuple(surfaces))


def _on_wire(name: str, parts: list[dict], wire: dict[str, str]) -> tuple[float, Surface, dict[str, str] | None]:
    thimbles = of_kind(parts, "thimbles", name)
    if thimbles:
        (thimble,) = thimbles
        (sleeve,) = of_kind(parts, "sleeves", name)
        (count,) = [part["quantity"] for part in parts if part["sku"] == sleeve["sku"] and part["at"] == name]
        to_sleeve = mm(thimble["crown_to_sleeve"])
        loop = wire_loop(mm(thimble["groove_radius"]), mm(wire["diameter"]), to_sleeve)
        pressed = sum([mm(sleeve["pressed_length"])] * count + [mm(sleeve["gap"])] * (count - 1))
        return loop + pressed + mm(sleeve["tail"]), Surface(to_sleeve + mm(thimble["crown_radius"]), "thimble"), None
    (row,) = of_kind(parts, "terminals", name)
    return mm(row["depth"]), terminal_surface(row, wire), row if row["family"] == "stud" else None


@dataclass(frozen=True)
class Finished:
    """A finished assembly: length between the outermost bearings, both ends, and free wire."""

    length: float
    upper: EndBuilt
    lower: EndBuilt
    free: float


def finish(assembly: dict, cut: float, at: str | None, setting: tuple[float, float] | None = None) -> Finished:
    """Finish the wire of `cut` mm with the parts of an assembly of a quote; `setting` is (upper, lower) exposed thread, else the quoted one."""
    wire = row_of(assembly["wire"]["sku"])
    if at is not None and setting is None:
        build = assembly["turnbuckle"]["build_setting"]
        setting = tuple(float(build[f"{which}_exposed"]["mm"]) for which in ("upper", "lower"))
    toward = None if setting is None else setting if at == "lower" else setting[::-1]
    upper, lower = (build_end(name, assembly["parts"], wire, toward if at == name else None) for name in ("upper", "lower"))
    free = cut - upper.wire - lower.wire
    return Finished(upper.outermost.place + free + lower.outermost.place, upper, lower, free)


def stop_ring(finished: Finished, centre_from_cut_end: float, ball: float, slot: float, end: str, toward: str) -> float:
    """Distance of a stop's bearing ring from the named end's outermost bearing, its centre marked that far from the upper cut end."""
    centre = finished.upper.outermost.place + centre_from_cut_end - finished.upper.wire
    ring = centre - ring_behind_centre(ball, slot) if toward == "upper" else centre + ring_behind_centre(ball, slot)
    return ring if end == "upper" else finished.length - ring


def beyond(surface: Surface, datum: str, old_pin: float | None = None) -> float:
    """How far the bearing lies outward of the place that was measured to."""
    pin = surface.pin if old_pin is None else old_pin
    if surface.kind == "pin_face":  # the pin is in, and its face toward the wire bears
        return {"bearing": 0.0, "pin_centre": -pin / 2, "pin_outside": -pin}[datum]
    if surface.kind in ("jaw", "hole"):  # the pin lies inward of the wall that bears
        return {"bearing": 0.0, "pin_centre": pin / 2, "pin_inside": pin, "hole_centre": surface.hole / 2, "outer_tip": -surface.tip}[datum]
    if surface.kind == "ball":  # centre and tip lie outward of the ring
        behind = ring_behind_centre(surface.ball, surface.hole)
        return {"bearing": 0.0, "ball_centre": -behind, "outer_tip": -behind - surface.ball / 2}[datum]
    if surface.kind == "stud":
        return {"bearing": 0.0, "stud_tip": -surface.tip}[datum]
    return {"bearing": 0.0}[datum]

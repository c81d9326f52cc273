"""From a cut wire and named articles to the finished assembly: the way back, which shares no code with the engine's chain.

It reads the catalogue's CSV files itself, pushes the wire to the bottom of each bore, swages, screws and hangs, and returns where the bearing
surfaces end up. Lengths in mm as floats. Rules: domain of the trade (common practice) and geometry; no formula of the engine.
"""

from __future__ import annotations

from dataclasses import dataclass

from .yardstick import metal_growth, mm, of_kind, ring_behind_centre, row_of, table, wire_loop

__all__ = [
    "EndBuilt",
    "Finished",
    "Surface",
    "beyond",
    "build_end",
    "finish",
    "mm",
    "of_kind",
    "ring_behind_centre",
    "row_of",
    "stop_ring",
    "table",
]


def swaged_growth(row: dict[str, str], wire: dict[str, str]) -> float:
    """The growth from the terminal's test swages on such a wire; without any, the growth by conservation of metal."""
    if row["attachment"] != "swage":
        return 0.0
    this = (row["sku"], wire["construction"], wire["diameter"])
    tested = {(each["terminal"], each["construction"], each["wire_size"]): each["growth"] for each in table("growths")}
    if this in tested:
        return mm(tested[this])
    blank, bore, after, length = (mm(row[key]) for key in ("shank_before", "bore", "shank_after", "swaged_length"))
    return metal_growth(blank, bore, after, length, float(wire["metallic"].removesuffix(" mm2")))


@dataclass(frozen=True)
class Surface:
    """The outermost bearing so far: its place outward of the wire's entry mark, its pin, and its kind: jaw, hole, pin's face or other."""

    place: float
    kind: str
    pin: float = 0.0
    hole: float = 0.0
    tip: float = 0.0
    ball: float = 0.0
    width: float = 0.0


def terminal_surface(row: dict[str, str], wire: dict[str, str]) -> Surface:
    """Where a terminal bears, from the entry mark at its mouth."""
    place = mm(row["reach"]) + swaged_growth(row, wire)
    if row["pin"]:
        return Surface(place, "hole" if row["tongue"] else "jaw", mm(row["pin"]), mm(row["hole"]), mm(row["tip"]))
    if row["ball"]:
        return Surface(place, "ball", hole=mm(row["slot"]), ball=mm(row["ball"]))
    if row["thread"]:
        return Surface(place, "stud", tip=mm(row["plain_tip"]))
    return Surface(place, "shoulder")


def hang(inner: Surface, link: dict[str, str]) -> Surface:
    """Add a toggle or shackle to the chain: pins are pulled both ways, so each member touches its own side of the pin between them."""
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
    if link["kind"] == "gate_hook":  # bears inside its hook
        return Surface(touches + length, "shoulder")
    if link["kind"] in ("insulator", "bridle_plate"):  # the same tongue at either end
        return Surface(touches + length, "hole", pin, mm(link["hole"]), mm(link["tip"]))
    if inner.kind in ("jaw", "pin_face"):
        return Surface(touches + length, "jaw", pin, mm(link["hole"]), mm(link["tip"]))
    return Surface(touches + length, "hole", pin, mm(link["inner_hole"]))


def screw_surface(row: dict[str, str], place: float) -> Surface:
    """A turnbuckle screw's own bearing."""
    return Surface(place, "hole" if row["end"] == "eye" else "jaw", mm(row["pin"]), mm(row["hole"]), mm(row["tip"]))


def turnbuckle_surface(
    inner: Surface, stud: dict[str, str] | None, body: dict[str, str], screws: list[dict[str, str]], exposed: tuple[float, float]
) -> Surface:
    """Add a body and its screws to the chain; `exposed` is (toward the wire, toward the load), body face to run-out."""
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
        return (
            loop + pressed + mm(sleeve["tail"]),
            Surface(to_sleeve + mm(thimble["crown_radius"]), "thimble", hole=mm(thimble["largest_pin"]), width=mm(thimble["width"])),
            None,
        )
    (row,) = of_kind(parts, "terminals", name)
    return mm(row["depth"]), terminal_surface(row, wire), row if row["thread"] else None


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

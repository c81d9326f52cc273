"""The chain of one end put together again part by part from the bill, and every joint looked at from both sides.

It reads the catalogue's CSV files itself and shares no code with the engine's model of joints. Rules: common practice and statics; no source.
A side is (kind, pin it brings or is made for, hole, thickness, clear width, width over the cheeks), mm.
"""

from __future__ import annotations

from typing import NamedTuple

from .inverse import mm, of_kind

PLAY = 1.15  # a hole may be so many times its pin; common practice, no source


class Half(NamedTuple):
    """One side of one joint."""

    kind: str
    pin: float = 0.0
    hole: float = 0.0
    thick: float = 0.0
    wide: float = 0.0
    over: float = 0.0


def size(row: dict[str, str], column: str) -> float:
    """A cell in mm, 0 where it is blank."""
    return mm(row[column]) if row.get(column) else 0.0


def holed(row: dict[str, str]) -> Half:
    """The outer side of what has a pin hole: one tongue, or two cheeks."""
    if row["tongue"]:
        return Half("tongue", size(row, "pin"), size(row, "hole"), size(row, "tongue"))
    return Half("jaw", size(row, "pin"), size(row, "hole"), wide=size(row, "jaw"), over=size(row, "jaw_over"))


def link_halves(row: dict[str, str], inner: Half) -> tuple[Half, Half]:
    """A link's faces toward the wire and toward the load, the way round that a rigger would hang it on its neighbour."""
    pin = size(row, "pin")
    if row["kind"] == "shackle":
        return Half("bow", thick=size(row, "bow"), wide=size(row, "bow_inside")), Half("shackle_pin", pin, wide=size(row, "jaw"))
    tongue = Half("tongue", pin, size(row, "inner_hole"), size(row, "tongue"))
    if row["kind"] == "gate_hook":
        return tongue, Half("hook", thick=size(row, "bow"), wide=size(row, "bow_inside"))
    if row["kind"] != "toggle":  # an insulator's holes are alike; a bridle plate's lower ones are for the legs' pins
        return tongue, Half("tongue", pin, size(row, "hole"), size(row, "tongue"))
    jaw = Half("jaw", pin, size(row, "hole"), wide=size(row, "jaw"), over=size(row, "jaw_over"))
    return (tongue, jaw) if inner.kind in ("jaw", "shackle_pin") else (jaw, tongue)


def chain(parts: list[dict], end: str, turnbuckle: bool) -> tuple[list[tuple[Half, Half]], Half]:
    """Every joint of one end between parts of the bill, from the wire outward, and the outermost face. Threads do not count as joints here."""
    thimbles, terminals = of_kind(parts, "thimbles", end), of_kind(parts, "terminals", end)
    if thimbles:
        out = Half("crown", hole=size(thimbles[0], "largest_pin"), thick=size(thimbles[0], "width"))
    else:
        out = holed(terminals[0]) if terminals[0]["pin"] else Half(terminals[0]["family"])
    joints = []
    if turnbuckle:
        screws = of_kind(parts, "screws", "turnbuckle")
        if len(screws) > 1:
            joints.append((out, holed(screws[0])))
        out = holed(screws[-1])
    for row in of_kind(parts, "links", end):
        inward, outward = link_halves(row, out)
        joints.append((out, inward))
        out = outward
    return joints, out


def misfits(one: Half, other: Half) -> list[str]:
    """Descriptions of what is wrong with a joint, seen from the side that brings its pin and from the other; empty if nothing is."""
    pair = {one.kind: one, other.kind: other}
    if "jaw" in pair and "tongue" in pair:
        jaw, tongue = pair["jaw"], pair["tongue"]
        return [*_pin(jaw.pin, jaw.hole), *_pin(jaw.pin, tongue.hole), *_between(tongue.thick, jaw.wide)]
    if "jaw" in pair and "crown" in pair:
        jaw, crown = pair["jaw"], pair["crown"]
        return [*_pin(jaw.pin, jaw.hole), *_largest(jaw.pin, crown.hole), *_between(crown.thick, jaw.wide)]
    if "jaw" in pair and "bow" in pair:
        jaw, bow = pair["jaw"], pair["bow"]
        return [*_pin(jaw.pin, jaw.hole), *_largest(jaw.pin, bow.wide), *_between(bow.thick, jaw.wide)]
    if "bow" in pair and ("tongue" in pair or "crown" in pair):
        eye = pair.get("tongue") or pair["crown"]
        return _largest(pair["bow"].thick, eye.hole)
    if "shackle_pin" in pair and "tongue" in pair:
        pin, tongue = pair["shackle_pin"], pair["tongue"]
        return [*_pin(pin.pin, tongue.hole), *_between(tongue.thick, pin.wide)]
    if "shackle_pin" in pair and "bow" in pair:
        return _largest(pair["shackle_pin"].pin, pair["bow"].wide)
    return [f"{one.kind} on {other.kind}"]


def _pin(pin: float, hole: float) -> list[str]:
    return [] if pin <= hole + 1e-9 <= pin * PLAY + 2e-9 else [f"pin {pin} in hole {hole}"]


def _largest(pin: float, hole: float) -> list[str]:
    return [] if pin <= hole + 1e-9 else [f"{pin} in {hole}"]


def _between(thick: float, wide: float) -> list[str]:
    return [] if thick <= wide + 1e-9 else [f"{thick} between {wide}"]


def overlap(one: Half, other: Half) -> float:
    """How much both members' lengths overlap: each bears on its own side of a pin that goes through a jaw; on a shackle's bow or pin nothing."""
    jaw = one if one.kind == "jaw" else other if other.kind == "jaw" else None
    return 0.0 if jaw is None else jaw.pin

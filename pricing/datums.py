"""Which places an end can be measured to: a datum belongs to the outermost member that the reading takes in.

Common practice, no source: a hole has a wall, a centre and a tip; a shackle's pin has two faces; a ball has a ring, a centre and a tip.
"""

from __future__ import annotations

from pricing.assembly import Assembly

HOLE = ("bearing", "pin_centre", "hole_centre", "pin_inside", "outer_tip")
SHACKLE = ("bearing", "pin_centre", "pin_outside")
BALL = ("bearing", "ball_centre", "outer_tip")
STUD = ("bearing", "stud_tip")
PLAIN = ("bearing",)
OF_TERMINAL = {
    "fork": HOLE,
    "eye": HOLE,
    "toggle": HOLE,
    "tee": PLAIN,
    "stud": STUD,
    "ball": BALL,
    "thimble_eye": PLAIN,
    "none": PLAIN,
}
OF_LINK = {"toggle": HOLE, "shackle": SHACKLE}


def datums_at(assembly: Assembly, end: str) -> tuple[str, ...]:
    """The datums that make sense at `end` ("upper" or "lower") of this assembly, in the words of a request."""
    asked = assembly.upper if end == "upper" else assembly.lower
    if assembly.measurement.includes_links and asked.links:
        return OF_LINK[asked.links[-1].kind]
    turnbuckle = assembly.turnbuckle
    if assembly.measurement.includes_turnbuckle and turnbuckle is not None and turnbuckle.at == end:
        return HOLE
    return OF_TERMINAL[asked.terminal]

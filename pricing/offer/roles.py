"""On which side of a boat a wire of each role usually stands (common practice, no source): a form offers these first, never only these."""

from __future__ import annotations

_PAIR, _MIDDLE = ("port", "starboard"), ("centre",)
USUAL_SIDES: dict[str, tuple[str, ...]] = {
    "cap_shroud": _PAIR,
    "intermediate_shroud": _PAIR,
    "lower_shroud": _PAIR,
    "fore_lower": _PAIR,
    "aft_lower": _PAIR,
    "forestay": _MIDDLE,
    "inner_forestay": _MIDDLE,
    "babystay": _MIDDLE,
    "backstay": _MIDDLE,
    "backstay_leg": _PAIR,
    "running_backstay": _PAIR,
    "checkstay": _PAIR,
    "lifeline_upper": _PAIR,
    "lifeline_lower": _PAIR,
    "gate_wire": _PAIR,
    "halyard": _MIDDLE,
    "trapeze_wire": _PAIR,
    "pennant": (*_PAIR, *_MIDDLE),
    "bobstay": _MIDDLE,
    "jumper": _PAIR,
    "diamond": _PAIR,
    "topping_lift": _MIDDLE,
    "triatic": _MIDDLE,
}

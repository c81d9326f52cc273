"""Figures that can be measured again to settle a finding: which findings each is offered for, and its place in the quote's request."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from jsonpointer import resolve_pointer


class Remeasurement(NamedTuple):
    """One figure to measure again. `place`: its JSON Pointer within the assembly, without the leading slash; `lines`: several figures, one per line."""

    name: str
    label: str
    hint: str
    place: str
    lines: bool = False


def _(text: str) -> str:
    return text


READINGS = Remeasurement(
    "readings", _("The readings, measured again"), _("One reading a line, each with its unit."), "measurement/readings", lines=True
)
PULL = Remeasurement(
    "pull", _("The pull on the hung wire"), _("As the spring scale shows it, such as 150 N or 35 lbf."), "measurement/pull"
)
UPPER = Remeasurement("upper_exposed", _("Thread showing at the upper screw"), _("From the face of the body to where the thread ends."), "turnbuckle/setting/upper_exposed")  # fmt: skip
LOWER = Remeasurement("lower_exposed", _("Thread showing at the lower screw"), _("From the face of the body to where the thread ends."), "turnbuckle/setting/lower_exposed")  # fmt: skip
BODY = Remeasurement("body", _("The kept turnbuckle’s body, from face to face"), _("By caliper."), "turnbuckle/dimensions/body")
RUNOUT = Remeasurement(
    "runout", _("The kept screw, from the end of its thread to its bearing"), _("By caliper."), "turnbuckle/dimensions/runout"
)
SHEAVE = Remeasurement(
    "sheave_diameter", _("The sheave, across the bottom of its groove"), _("By caliper, such as 100 mm."), "sheave_diameter"
)
EVERY = (READINGS, PULL, UPPER, LOWER, BODY, RUNOUT, SHEAVE)
_FOR: Mapping[tuple[str, str], tuple[Remeasurement, ...]] = {
    ("measurement", "pull-missing"): (READINGS, PULL),
    ("measurement", "length-too-uncertain"): (READINGS,),
    ("measurement", "pair-differs"): (READINGS,),
    ("measurement/readings/0", "length-implausible"): (READINGS,),
    ("measurement/pull", "pull-beyond-hand"): (PULL,),
    ("sheave_diameter", "sheave-too-small"): (SHEAVE,),
    ("measurement", "one-reading-alone"): (READINGS,),
    ("measurement/readings", ""): (READINGS,),
    ("turnbuckle", "setting-missing"): (UPPER, LOWER),
    ("turnbuckle", "setting-unknown"): (UPPER, LOWER),
    ("turnbuckle/setting", ""): (UPPER, LOWER),
    ("turnbuckle", "kept-part-unmeasured"): (BODY, RUNOUT),
}


def remeasurements_for(code: str, pointer: str) -> tuple[Remeasurement, ...]:
    """What can be measured again for a finding; empty if only words answer it."""
    place = "/".join(pointer.split("/")[3:])
    return _FOR.get((place, code)) or _FOR.get((place, "")) or ()


def measured_values(pointer: str, typed: Mapping[str, str], request: Any) -> list[dict[str, Any]]:
    """What was typed in, as values to put at places of the request. A group that the request has already keeps its other members."""
    assembly = "/".join(pointer.split("/")[:3])
    values: dict[str, Any] = {}
    for figure, value in _typed(typed):
        group, _, last = figure.place.rpartition("/")
        if group.count("/") == 0:
            values[f"{assembly}/{figure.place}"] = value
        else:  # the request may lack the group, and then a place within it cannot be set
            at = f"{assembly}/{group}"
            values.setdefault(at, dict(resolve_pointer(request, at, None) or {}))[last] = value
    return [{"pointer": at, "value": value} for at, value in values.items()]


def _typed(typed: Mapping[str, str]) -> Iterator[tuple[Remeasurement, Any]]:
    for figure in EVERY:
        text = typed.get(figure.name, "").strip()
        if text:
            yield figure, [line.strip() for line in text.splitlines() if line.strip()] if figure.lines else text

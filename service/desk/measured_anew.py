"""What can be typed in place of a doubt: which findings it is offered for, and where it stands in the quote's request."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from jsonpointer import resolve_pointer


class Anew(NamedTuple):
    """One thing that is measured again. `place`: below its assembly in the request; `lines`: several figures, one a line."""

    name: str
    label: str
    hint: str
    place: str
    lines: bool = False


def _(text: str) -> str:
    return text


READINGS = Anew(
    "readings", _("The readings, measured again"), _("One reading a line, each with its unit."), "measurement/readings", lines=True
)
PULL = Anew("pull", _("The pull on the hung wire"), _("As the spring scale shows it, such as 150 N or 35 lbf."), "measurement/pull")
UPPER = Anew("upper_exposed", _("Thread showing at the upper screw"), _("From the face of the body to where the thread ends."), "turnbuckle/setting/upper_exposed")  # fmt: skip
LOWER = Anew("lower_exposed", _("Thread showing at the lower screw"), _("From the face of the body to where the thread ends."), "turnbuckle/setting/lower_exposed")  # fmt: skip
BODY = Anew("body", _("The kept turnbuckle’s body, from face to face"), _("By caliper."), "turnbuckle/dimensions/body")
RUNOUT = Anew("runout", _("The kept screw, from the end of its thread to its bearing"), _("By caliper."), "turnbuckle/dimensions/runout")
SHEAVE = Anew("sheave_diameter", _("The sheave, across the bottom of its groove"), _("By caliper, such as 100 mm."), "sheave_diameter")
EVERY = (READINGS, PULL, UPPER, LOWER, BODY, RUNOUT, SHEAVE)
_FOR: Mapping[tuple[str, str], tuple[Anew, ...]] = {
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


def anew_for(code: str, pointer: str) -> tuple[Anew, ...]:
    """What can be measured again for a finding; nothing where only words answer it."""
    place = "/".join(pointer.split("/")[3:])
    return _FOR.get((place, code)) or _FOR.get((place, "")) or ()


def measured(pointer: str, typed: Mapping[str, str], request: Any) -> list[dict[str, Any]]:
    """What was typed in, as values at places of the request. What stands beside it in a group that is there stays."""
    own = "/".join(pointer.split("/")[:3])
    found: dict[str, Any] = {}
    for each, value in _typed(typed):
        group, _, last = each.place.rpartition("/")
        if group.count("/") == 0:
            found[f"{own}/{each.place}"] = value
        else:  # the group may be missing, and a place in it cannot be filled then
            at = f"{own}/{group}"
            found.setdefault(at, dict(resolve_pointer(request, at, None) or {}))[last] = value
    return [{"pointer": at, "value": value} for at, value in found.items()]


def _typed(typed: Mapping[str, str]) -> Iterator[tuple[Anew, Any]]:
    for each in EVERY:
        text = typed.get(each.name, "").strip()
        if text:
            yield each, [line.strip() for line in text.splitlines() if line.strip()] if each.lines else text

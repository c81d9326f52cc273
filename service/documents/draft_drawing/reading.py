"""The values of a draft, and where its reading of the length ends: the datum on the outermost member that is included, by the engine's rules."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from pricing.fittings import FAMILIES
from pricing.measurement.assembly import Assembly, End, Link, Measurement, Turnbuckle, WireSpec
from pricing.measurement.datums import datums_at
from pricing.measurement.included import (
    LINK_NOT_THERE,
    LINKS_UNKNOWN,
    TURNBUCKLE_UNKNOWN,
    extent_unknown,
    old_links,
    questions_on_what_was_included,
    reading_extent,
)

Values = Mapping[str, Any]
ENDS = ("upper", "lower")
_CONTRADICTIONS = (LINK_NOT_THERE, LINKS_UNKNOWN, TURNBUCKLE_UNKNOWN)
_NO_KIND = "none"  # stands for a terminal that is not given yet; it bears nowhere


def value_at(values: Any, *path: str | int) -> Any:
    """The value at a path; None if the draft does not have it, or it cannot be read."""
    for step in path:
        if isinstance(values, Mapping):
            values = values.get(str(step))
        elif isinstance(values, list) and isinstance(step, int) and step < len(values):
            values = values[step]
        else:
            return None
    return values


@dataclass(frozen=True, slots=True)
class ReadTo:
    """Where a reading ends: the member's place in the request ("" for the terminal, `turnbuckle`, or `links/0`) and the datum on it."""

    member: str
    datum: str


def turnbuckle_at(values: Values) -> str:
    """The end that the turnbuckle is at; empty if there is none."""
    return "" if value_at(values, "turnbuckle") is None else value_at(values, "turnbuckle", "at") or "lower"


def read_to(values: Values, end: str) -> ReadTo | None:
    """Where the reading ends; None as long as that is not known, or contradicts itself."""
    assembly = _assembly(values)
    measured, read = assembly.measurement, reading_extent(assembly, end)
    hung = turnbuckle_at(values) == end
    if extent_unknown(assembly, end) or (hung and measured.includes_turnbuckle is None) or _no_turnbuckle(assembly):
        return None
    datum = measured.upper_datum if end == "upper" else measured.lower_datum
    if read.links:
        place, link = old_links(assembly, end)[read.links - 1]
        member, known = f"links/{place}", bool(link.kind)
    else:
        member = "turnbuckle" if hung and read.turnbuckle else ""
        known = bool(member) or value_at(values, end, "terminal") not in (None, "none")
    return ReadTo(member, datum) if known and datum in datums_at(assembly, end) else None


def contradictions(values: Values) -> list[tuple[str, str]]:
    """The pointers of values that contradict others, each with the code of the reason."""
    assembly = _assembly(values)
    found = [(f"/{each.pointer}", each.code) for each in questions_on_what_was_included(assembly) if each.code in _CONTRADICTIONS]
    for end in ENDS:
        terminal, taken = value_at(values, end, "terminal"), value_at(values, end, "attachment")
        if terminal and taken and taken not in FAMILIES[terminal].attachments:
            found.append((f"/{end}/attachment", "not_accepted"))
        if value_at(values, "measurement", f"{end}_datum") and not read_to(values, end) and read_to(_to_the_bearings(values), end):
            found.append((f"/measurement/{end}_datum", "impossible_datum"))
    return found


def _to_the_bearings(values: Values) -> Values:
    return {**values, "measurement": {name: each for name, each in values["measurement"].items() if not name.endswith("_datum")}}


def _no_turnbuckle(assembly: Assembly) -> bool:
    return assembly.turnbuckle is None and bool(assembly.measurement.includes_turnbuckle)


def _assembly(values: Values) -> Assembly:
    """The assembly of the request, as far as it decides where a reading ends; what is not given is blank."""
    measured = value_at(values, "measurement") or {}
    turnbuckle = Turnbuckle(body="", at=turnbuckle_at(values)) if value_at(values, "turnbuckle") is not None else None
    return Assembly(
        tag="", role="", wire=WireSpec("", None, ""), upper=_end(values, "upper"), lower=_end(values, "lower"), turnbuckle=turnbuckle,
        measurement=Measurement(
            readings=(), includes_turnbuckle=measured.get("includes_turnbuckle"), includes_links=measured.get("includes_links"),
            upper_datum=measured.get("upper_datum", "bearing"), lower_datum=measured.get("lower_datum", "bearing"),
        ),
    )  # fmt: skip


def _end(values: Values, end: str) -> End:
    links = tuple(_link(each or {}) for each in value_at(values, end, "links") or ())
    return End(terminal=value_at(values, end, "terminal") or _NO_KIND, links=links)


def _link(values: Values) -> Link:
    return Link(
        kind=values.get("kind", ""), change=values.get("change"), in_reading=values.get("in_reading"), outer_side=values.get("outer_side")
    )

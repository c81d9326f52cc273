"""The old wire, which was measured (and so hung, stretched or warm), and the new wire, which is cut."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from pricing.findings import Finding, code, finding
from pricing.measurement.wire import WRITTEN_ROUNDED
from pricing.values import Force, Text, Value, material, phrase

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.measurement.assembly import Assembly, Measurement, WireSpec
    from pricing.rows import Wire

WIRE_CHANGED = code("wire-changed", "ask", "The new wire is not of the old one's construction, material or size.")
OLD_WIRE_UNKNOWN = code("old-wire-unknown", "ask", "The old wire is not in the catalogue: the difference in stretch is not corrected.")
OLD_WIRE_UNSAID = code(
    "old-wire-unsaid",
    "ask",
    "The measured wire hung or was stretched, and it was not stated which wire it was: the new one's weight and stretch were used.",
)
OLD_MATERIAL = code("old-material-assumed", "note", "The old wire's material was not given; the new one's was assumed.", assumption=True)


class Wires(NamedTuple):
    """The measured wire and the wire to be cut; the same row if like replaces like, or if the old wire is unknown."""

    old: Wire
    new: Wire

    @property
    def changed(self) -> bool:
        """Whether a different wire is fitted."""
        return self.old.sku != self.new.sku


def measured_wire(assembly: Assembly, new: Wire, catalogue: Catalogue) -> tuple[Wires, tuple[Finding, ...]]:
    """The old wire if given and known, else the new one, with findings."""
    spec = assembly.old_wire
    if spec is None:
        return Wires(new, new), _old_wire_not_given(assembly.measurement, new)
    code = spec.material or new.material
    old = _row(spec, code, catalogue)
    if old is None:
        values: dict[str, Value] = {"construction": phrase(f"construction.{spec.construction}")}
        if spec.size:
            values["size"] = Text(spec.size)
        return Wires(new, new), (finding(OLD_WIRE_UNKNOWN, "old_wire", "sized" if spec.size else "unsized", **values),)
    findings = [] if spec.material else [finding(OLD_MATERIAL, "old_wire", material=material(code))]
    wires = Wires(old, new)
    return wires, (*findings, *((_changed(wires),) if wires.changed else ()))


def _row(spec: WireSpec, material: str, catalogue: Catalogue) -> Wire | None:
    size = spec.diameter
    if size is None:
        return None
    near = [row for row in catalogue.wire_sizes(spec.construction, material) if abs(row.diameter - size) < WRITTEN_ROUNDED]
    return min(near, key=lambda row: abs(row.diameter - size), default=None)


def _old_wire_not_given(measured: Measurement, new: Wire) -> tuple[Finding, ...]:
    """A finding if it matters which wire was measured. A wire hung under an unknown pull is skipped: the pull is asked for first."""
    hung = measured.support == "hung" and (measured.pull is not None or measured.hung_as == "plumb")
    if not hung and measured.support != "aboard":
        return ()
    return (finding(OLD_WIRE_UNSAID, "measurement/support", "hung" if hung else "aboard", wire=Text(new.name)),)


def _changed(wires: Wires) -> Finding:
    old, new = wires
    values: dict[str, Value] = {"old": Text(old.name), "new": Text(new.name)}
    if new.break_kn >= old.break_kn:
        return finding(WIRE_CHANGED, "wire", "other", **values)
    values |= {"holds": Force(1000 * new.break_kn), "held": Force(1000 * old.break_kn)}
    return finding(WIRE_CHANGED, "wire", "weaker", **values)

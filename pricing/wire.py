"""Which wire of the catalogue is meant."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from pricing.findings import Finding, code, finding

if TYPE_CHECKING:
    from pricing.assembly import WireSpec
    from pricing.catalogue import Catalogue
    from pricing.catalogue.rows import Wire

NO_WIRE = code("no-such-wire", "stop", "The catalogue has no wire of that construction, material and size.")
MATERIAL_ASSUMED = code("material-assumed", "note", "The wire's material was not said; 316 was assumed.")
SIZE_AS_NOMINAL = code("size-taken-as-nominal", "note", "A wire's size was written rounded and taken as the catalogue's nominal size.")
WRITTEN_ROUNDED = Decimal("0.01")  # 3/16 in is 4.7625 mm and often written 4.76 mm
USUAL_MATERIAL = "316"


def choose_wire(spec: WireSpec, catalogue: Catalogue) -> tuple[Wire | None, tuple[Finding, ...]]:
    """The wire asked for, and what was assumed or what is wrong."""
    said: list[Finding] = []
    if spec.diameter is None:  # where a reading could not be named, it was said why
        unsaid = finding(
            NO_WIRE, "wire", "Neither the wire's diameter nor a reading of it was said.", "Say `wire.diameter` or `wire.measured`."
        )
        return None, () if spec.measured is not None else (unsaid,)
    material = spec.material
    if material is None:
        said.append(finding(MATERIAL_ASSUMED, "wire", "The wire was taken to be of 316.", "Say `wire.material` if it is another."))
        material = USUAL_MATERIAL
    diameter = spec.diameter
    wire = catalogue.wire(spec.construction, material, diameter)
    if wire is None:
        near = sorted(catalogue.wires_of(spec.construction, material), key=lambda row: abs(row.diameter - diameter))[:2]
        if near and abs(near[0].diameter - diameter) < WRITTEN_ROUNDED:
            wire = near[0]
            message = f"{spec.size} was taken as the nominal size {wire.size}."
            said.append(finding(SIZE_AS_NOMINAL, "wire/diameter", message, "Write the nominal size of the wire."))
        else:
            said.append(_unknown(spec, material, near))
    return wire, tuple(said)


def _unknown(spec: WireSpec, material: str, near: list[Wire]) -> Finding:
    sizes = " and ".join(row.size for row in near) or "none of that construction and material"
    message = f"There is no {spec.size} {spec.construction} wire of {material}; the nearest are {sizes}."
    remedy = "Measure the bare wire with a caliper across its strands and name a size from the catalogue."
    return finding(NO_WIRE, "wire/diameter", message, remedy)

"""Choosing the catalogue's wire for a request."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from pricing.findings import Finding, code, finding
from pricing.fittings.ended import instead_of, no_longer_sold
from pricing.values import Listing, Size, Text, Value, material, phrase, sizes

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.measurement.assembly import WireSpec
    from pricing.rows import Wire

NO_WIRE = code("no-such-wire", "stop", "The catalogue has no wire of that construction, material and size.")
MATERIAL_ASSUMED = code("material-assumed", "note", "The wire's material was not given; 316 was assumed.", assumption=True)
SIZE_AS_NOMINAL = code("size-taken-as-nominal", "note", "A wire's size was written rounded and taken as the catalogue's nominal size.")
WRITTEN_ROUNDED = Decimal("0.01")  # 3/16 in is 4.7625 mm and often written 4.76 mm
USUAL_MATERIAL = "316"


Chosen = tuple["Wire | None", tuple[Finding, ...]]


def choose_wire(spec: WireSpec, catalogue: Catalogue) -> Chosen:
    """The catalogue's wire for a request (None if there is none), with findings on assumptions and mismatches."""
    wire, findings = _chosen(spec, catalogue)
    if wire is not None or catalogue.with_discontinued is catalogue:
        return wire, findings
    before, findings_before = _chosen(spec, catalogue.with_discontinued)
    if before is None:
        return wire, findings
    at = "wire/diameter" if spec.measured is None else "wire/measured"
    return None, (*findings_before, no_longer_sold(at, before, instead_of(before, catalogue)))


def _chosen(spec: WireSpec, catalogue: Catalogue) -> Chosen:
    findings: list[Finding] = []
    if not spec.construction:
        return None, (finding(NO_WIRE, "wire/construction", "unlaid"),)
    if spec.diameter is None:  # if a reading could not be identified, that has already been reported
        return None, () if spec.measured is not None else (finding(NO_WIRE, "wire", "unsaid"),)
    code = spec.material
    if code is None:
        findings.append(finding(MATERIAL_ASSUMED, "wire", material=Text(USUAL_MATERIAL)))
        code = USUAL_MATERIAL
    diameter = spec.diameter
    if not catalogue.wires_of(spec.construction, code):
        return None, (*findings, unknown_material("wire", spec, catalogue))
    wire = catalogue.wire(spec.construction, code, diameter)
    if wire is None:
        near = sorted(catalogue.wires_of(spec.construction, code), key=lambda row: abs(row.diameter - diameter))[:2]
        if near and abs(near[0].diameter - diameter) < WRITTEN_ROUNDED:
            wire = near[0]
            findings.append(finding(SIZE_AS_NOMINAL, "wire/diameter", written=Text(spec.size), size=Size(wire.diameter)))
        else:
            findings.append(_unknown(spec, code, near))
    return wire, tuple(findings)


def unknown_material(name: str, spec: WireSpec, catalogue: Catalogue) -> Finding:
    """The finding for a wire whose construction and material are not in the catalogue in any size; `name` is its field in the assembly."""
    construction = phrase(f"construction.{spec.construction}")
    there = sorted({row.material for row in catalogue.wires.values() if row.construction == spec.construction})
    if not there:
        return finding(NO_WIRE, f"{name}/construction", "construction", construction=construction)
    at = f"{name}/material" if spec.material is not None else name
    offered = Listing(tuple([material(each) for each in there]), "comma")
    return finding(NO_WIRE, at, "material", construction=construction, material=material(spec.material or USUAL_MATERIAL), there=offered)


def _unknown(spec: WireSpec, code: str, near: list[Wire]) -> Finding:
    values: dict[str, Value] = {"size": Text(spec.size), "material": material(code)}
    values["construction"] = phrase(f"construction.{spec.construction}")
    return finding(NO_WIRE, "wire/diameter", "size", **values, near=sizes([row.diameter for row in near]))

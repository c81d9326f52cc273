"""Translates former names in stored quotes. A stored quote keeps, under its checksum, the member names it was issued with; every reader goes
through here.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

Json = dict[str, Any]
OF_WIRE = {"break_kn": "break_kN"}
OF_RULE = {"rest": "remnant"}


def in_present_names(document: Json) -> Json:
    """A quote's document of any release, with its members under their present names; the argument is not modified."""
    renamed = dict(document)
    if "assemblies" in renamed:
        renamed["assemblies"] = [_assembly(each) for each in renamed["assemblies"]]
    if "lines" in renamed:
        renamed["lines"] = [
            {**each, "rule": OF_RULE.get(each["rule"], each["rule"])} if "rule" in each else each for each in renamed["lines"]
        ]
    return renamed


def _assembly(assembly: Json) -> Json:
    wire = assembly.get("wire")
    return assembly if wire is None or "break_kN" in wire else {**assembly, "wire": _named(wire, OF_WIRE)}


def _named(members: Json, names: Mapping[str, str]) -> Json:
    return {names.get(name, name): value for name, value in members.items()}

"""A request in which every field of the contract is given, and another value for each."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from tests.service.contract import contract, resolved

Json = dict[str, Any]
# Two values of each kind of text with a unit: all are read by the same rules, so that one other value of a kind is as good as any.
LENGTHS = ("12 mm", "13 mm")
OTHERS = {
    "Length": LENGTHS, "LengthOrZero": LENGTHS, "Force": ("50 N", "60 N"), "Temperature": ("18 degC", "19 degC"),
    "TemperatureDifference": ("3 K", "4 K"), "Area": ("2.6 mm2", "2.7 mm2"), "LineWeight": ("0.14 N/m", "0.15 N/m"), "DecimalText": ("7", "9"),
}  # fmt: skip
# What goes together, or means something: the rest is the first value of its kind.
GIVEN = {
    "tag": "A", "thread": "3/8-24 UNF", "email": "rig@example.org", "telephone": "+1 401 555 0142", "price_list": "retail", "material": "316", "sku": "COTTER-1-16IN", "over": "25 mm",
    "threads": 12, "marked": "5 m", "true": "5001 mm", "span": "2 m", "true_within": "1 mm", "length_overall": "8.4 m", "resolution": "1 mm",
    "within": "1 mm", "old_length": "40 mm", "position": "100 mm", "country": "US", "external_id": "C-1042", "tax_number": "XX000000000", "reduction": "10 %", "operation": "tail_splice",
}  # fmt: skip
OTHER = {
    "tag": "B", "thread": "M10", "email": "loft@example.org", "telephone": "+49 431 555 0142", "price_list": "fleet", "material": "2205", "sku": "COTTER-3-32IN", "over": "26 mm", "threads": 13,
    "marked": "5.5 m", "true": "5002 mm", "span": "2.1 m", "length_overall": "8.5 m", "resolution": "2 mm", "within": "2 mm", "position": "110 mm", "country": "CA", "external_id": "C-1043", "tax_number": "XX000000001", "reduction": "5 %", "operation": "call_out",
}  # fmt: skip
Place = tuple[str | int, ...]
_WHOLE = {"Link": "LinkObject", "OldWire": "OldWireBySize"}  # of several shapes the one that has every field


def schema(name: str) -> Json:
    found: Json = contract()["components"]["schemas"][name]
    return found


def referred(node: Json) -> str:
    """The component that a node refers to, as its name; empty for one that stands in place."""
    return str(node.get("$ref", "")).rpartition("/")[2]


def leaves(name: str, at: Place = ()) -> Iterator[tuple[Place, Json]]:
    """The place and schema of everything that a request can say, one item of each list."""
    yield from _below(schema(name), at)


def _below(node: Json, at: Place) -> Iterator[tuple[Place, Json]]:
    kind = referred(node)
    node = schema(_WHOLE[kind]) if kind in _WHOLE else resolved(node) if kind and kind not in OTHERS else node
    if "properties" in node:
        for name, each in node["properties"].items():
            yield from _below(each, (*at, name))
    elif node.get("type") == "array" and referred(node["items"]) not in OTHERS:
        yield from _below(node["items"], (*at, 0))
    else:
        yield at, node


def values(name: str, node: Json) -> list[Any]:
    """Values of a leaf: the first for the full request, then others."""
    if "enum" in node:
        return list(node["enum"])
    if node.get("type") == "array":
        return [["9568 mm", "9569 mm"], ["9578 mm", "9579 mm"]]
    if node.get("type") == "boolean":
        return [True, False]
    given = [GIVEN[name]] if name in GIVEN else []
    if node.get("type") == "integer":
        return [*given, 2, 3]
    return [*given, *([OTHER[name]] if name in OTHER else OTHERS.get(referred(node), ("some words", "other words")))]


def full() -> Json:
    """The request, which need not be one that can be built."""
    made: Json = {}
    for at, node in leaves("QuoteRequest"):
        put(made, at, values(str(at[-1]), node)[0])
    return made


def put(within: Any, at: Place, value: Any) -> None:
    """Set the value at a place, creating the objects and lists around it."""
    for step, following in zip(at, (*at[1:], None), strict=True):
        if following is None:
            within[step] = value
        elif isinstance(within, list):
            if len(within) <= int(step):
                within.append({})
            within = within[int(step)]
        else:
            within = within.setdefault(step, [] if isinstance(following, int) else {})


def taken_out(within: Any, at: Place) -> None:
    """Remove the value at a place."""
    for step in at[:-1]:
        within = within[step]
    del within[at[-1]]

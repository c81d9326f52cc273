"""Whose data a quote holds, and the same data without the person. Plain documents in and out; nothing is stored."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

Json = dict[str, Any]
ERASED = "erased"
NOBODY = {"name": None, "reference": None, "email": None}


def is_of(customer: Mapping[str, Any], who: str) -> bool:
    """Whether a quote's customer has this name or this address: letter case and spaces beside, exactly."""
    wanted = _plain(who)
    return any(_plain(customer[part]) == wanted for part in ("name", "email") if customer.get(part))


def _plain(text: str) -> str:
    return " ".join(text.split()).casefold()


def erased_quote(document: Json, day: str) -> Json:
    """A quote's document without names, notes and the boat's name. Its numbers, parts, money and dates stay, and it says that it was erased."""
    found = {**document, "customer": dict(NOBODY), "boat": {**document["boat"], "name": None}, "note": None, "erased_on": day}
    if document.get("cutting_plan"):
        found["cutting_plan"] = erased_plan(document["cutting_plan"])
    return found


def erased_request(request: Any) -> Any:
    """The request as received, without the same. The engine makes the same numbers of it."""
    if not isinstance(request, dict):
        return request
    found = {name: value for name, value in request.items() if name not in ("customer", "note")}
    if isinstance(found.get("boat"), dict):
        found["boat"] = {name: value for name, value in found["boat"].items() if name != "name"}
    return found


def erased_plan(plan: Json, numbers: Collection[str] | None = None) -> Json:
    """A cutting plan without boats' names: those of the quotes with these numbers, or of all. A title may name a boat and goes with them."""
    return {**plan, "title": ERASED, "wires": [_erased_wire(wire, numbers) for wire in plan["wires"]]}


def _erased_wire(wire: Json, numbers: Collection[str] | None) -> Json:
    uses = [{**use, "cuts": [_nameless(cut, numbers) for cut in use["cuts"]]} for use in wire["uses"]]
    notes = [{**note, "message": ERASED, "subject": ERASED} if note["code"] == "group_split" else note for note in wire["notes"]]
    return {**wire, "uses": uses, "unplanned": [_nameless(each, numbers) for each in wire["unplanned"]], "notes": notes}


def _nameless(piece: Json, numbers: Collection[str] | None) -> Json:
    return {**piece, "boat": None} if numbers is None or piece["quote"] in numbers else piece


def names_any(plan: Json, numbers: Collection[str]) -> bool:
    """Whether a plan has a piece of a quote with one of these numbers."""
    pieces = (piece for wire in plan["wires"] for piece in (*(cut for use in wire["uses"] for cut in use["cuts"]), *wire["unplanned"]))
    return any(piece["quote"] in numbers for piece in pieces)


def erased_record(record: Json) -> Json:
    """A record of finished assemblies without who made it and what was noted."""
    return {**record, "by": None, "note": None}

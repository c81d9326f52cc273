"""A plan in the names of the bench: an object by its tag or article on the shelf, a remnant by the tag that it gets there."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from typing import Any

from service.documents.cutting_plan.folding import Document
from service.documents.speech import Speech


def as_named(document: Mapping[str, Any], tags: Mapping[str, str], speech: Speech) -> Document:
    """The plan with the planner's names of objects and remnants replaced, in notes too. `tags`: those that remnants got when the plan
    was taken; any other has none yet.
    """
    return {**document, "wires": [_wire(each, tags, speech) for each in document["wires"]]}


def _wire(wire: Document, tags: Mapping[str, str], speech: Speech) -> Document:
    names = _names(wire, speech)
    uses = [{**use, "object": name, "remnant_id": tags.get(use["remnant_id"])} for use, name in zip(wire["uses"], names, strict=True)]
    known = {use["object"]: name for use, name in zip(wire["uses"], names, strict=True)}
    return {**wire, "uses": uses, "notes": [_renamed(note, known) for note in wire["notes"]]}


def _names(wire: Document, speech: Speech) -> list[str]:
    """Each object's name; those taken of one article are numbered as they are taken up."""
    several = Counter(use["stock"] for use in wire["uses"])
    count: Counter[str] = Counter()
    names = []
    for use in wire["uses"]:
        stock = use["stock"]
        count[stock] += 1
        name = str(stock) if several[stock] == 1 else speech.say("%(object)s no. %(number)s", object=stock, number=count[stock])
        names.append(speech.say("%(object)s for %(quote)s", object=name, quote=quote) if (quote := wire.get("for_quote")) else name)
    return names


def _renamed(value: Any, names: Mapping[str, str]) -> Any:
    if isinstance(value, list):
        return [_renamed(each, names) for each in value]
    if not isinstance(value, dict):
        return value
    if value.get("kind") == "text":
        return {**value, "text": names.get(value["text"], value["text"])}
    return {name: _renamed(each, names) for name, each in value.items()}

"""The cutting list: what is cut from which spool or offcut, in the order of the quote's own plan."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from pricing.model import Length
from service.documents.bench_sheet.figures import Json, length, quoted
from service.documents.cutting_plan.named import as_named
from service.documents.cutting_plan.words import SOURCES, is_customers
from service.documents.speech import Speech

CUSTOMERS = "goes to the customer, who paid for it"
TAGGED = "back to the shelf, with tag %(tag)s"
UNTAGGED = "back to the shelf; its tag:"


def cutting_list(plan: Mapping[str, Any] | None, tags: Mapping[str, str], ready: Mapping[str, Length], speech: Speech) -> list[Json] | None:
    """Each stock object used, with its cuts; `tags`: those of the remnants once the plan is taken; `ready`: the cut lengths of what may be
    cut, by tag. None without a plan.
    """
    if plan is None:
        return None
    return [_wire(wire, ready, speech) for wire in as_named(plan, tags, speech)["wires"]]


def _wire(wire: Json, ready: Mapping[str, Length], speech: Speech) -> Json:
    return {
        "sku": wire["wire"]["sku"],
        "name": speech.named(wire["wire"]["name"]),
        "allowance": _length(wire["allowance"], speech),
        "objects": [_object(use, ready, speech) for use in wire["uses"]],
        "unplanned": [{"tag": each["label"], "quantity": each["quantity"]} for each in wire["unplanned"]],
    }


def _object(use: Json, ready: Mapping[str, Length], speech: Speech) -> Json:
    cuts = [_cut(each, ready, speech) for each in use["cuts"]]
    return {
        "object": use["object"],
        "source": SOURCES[use["source"]],
        "length": _length(use["length"], speech),
        "cuts": cuts,
        "remnant": _length(use["remnant"], speech),
        "remnant_says": _remnant(use, speech),
    }


def _cut(cut: Json, ready: Mapping[str, Length], speech: Speech) -> Json:
    """A cut; if it must not be made, it has no length."""
    ready_length = ready.get(cut["label"])
    return {
        "step": cut["step"],
        "tag": cut["label"],
        "cut": ready_length is not None,
        "length": _planned(cut["length"], ready_length, speech),
    }


def _planned(planned: Json, ready_length: Length | None, speech: Speech) -> Json | None:
    """The planned length, in the quote's own text if it is the quote's cut length; None if it must not be cut."""
    if ready_length is None:
        return None
    return quoted(ready_length, speech) if ready_length.mm == Decimal(planned["mm"]) else _length(planned, speech)


def _remnant(use: Json, speech: Speech) -> str:
    if not Decimal(use["remnant"]["mm"]):
        return speech.say("nothing left")
    if use["remnant_kept"]:
        return speech.say(TAGGED, tag=use["remnant_id"]) if use["remnant_id"] else speech.say(UNTAGGED)
    return speech.say(CUSTOMERS if is_customers(use) else "scrap")


def _length(planned: Json, speech: Speech) -> Json:
    return length(Decimal(planned["mm"]), speech)

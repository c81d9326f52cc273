"""The cutting list: what comes off which spool or offcut, in the order of the quote's own plan."""

from __future__ import annotations

from collections.abc import Collection
from decimal import Decimal

from service.documents.benchsheet.figures import length
from service.documents.rig.terms import Document

SOURCES = {"new": "new spool", "opened": "opened spool", "offcut": "offcut"}


def cutting_list(document: Document, ready: Collection[str]) -> list[Document] | None:
    """Each touched stock object with its cuts; `ready` are the tags that may be cut. None where the quote has no plan."""
    plan = document.get("cutting_plan")  # a first release had none
    if plan is None:
        return None
    return [_wire(wire, ready) for wire in plan["wires"]]


def _wire(wire: Document, ready: Collection[str]) -> Document:
    return {
        "sku": wire["wire"]["sku"],
        "name": wire["wire"]["name"],
        "allowance": length(wire["allowance"]["mm"]),
        "objects": [_object(use, ready) for use in wire["uses"]],
        "unplanned": [{"tag": each["label"], "quantity": each["quantity"]} for each in wire["unplanned"]],
    }


def _object(use: Document, ready: Collection[str]) -> Document:
    cuts = [_cut(each, ready) for each in use["cuts"]]
    return {
        "object": use["object"],
        "source": SOURCES[use["source"]],
        "length": length(use["length"]["mm"]),
        "cuts": cuts,
        "rest": length(use["rest"]["mm"]),
        "rest_says": _rest(use),
    }


def _cut(cut: Document, ready: Collection[str]) -> Document:
    """A cut; one that must not be made has no length."""
    made = cut["label"] in ready
    return {"step": cut["step"], "tag": cut["label"], "cut": made, "length": length(cut["length"]["mm"]) if made else None}


def _rest(use: Document) -> str:
    if not Decimal(use["rest"]["mm"]):
        return "nothing left"
    return f"keep as {use['rest_id']}" if use["rest_kept"] else "scrap"

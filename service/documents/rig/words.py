"""What a drawing of a rig says in words."""

from __future__ import annotations

from decimal import Decimal

from pricing.units import imperial, metric

from .terms import Document

READINESS = {
    "ready_to_cut": ("READY TO CUT", "nothing is open"),
    "confirm": ("CONFIRM FIRST", "a finding asks something before it is cut"),
    "hold": ("ON HOLD", "cannot be cut from these numbers and is not priced"),
}


def role(assembly: Document) -> str:
    """`Cap shroud, port`, with the mast where it is not the main one."""
    words = [str(assembly["role"]).replace("_", " ").capitalize()]
    if assembly["side"]:
        words.append(str(assembly["side"]))
    if assembly["mast"] != "main":
        words.append(f"{assembly['mast']} mast")
    return ", ".join(words)


def readiness(assembly: Document) -> str:
    """The readiness in capitals."""
    return READINESS[assembly["readiness"]][0]


def figure(mm: Decimal | str | float, units: str) -> str:
    """A length of the document's millimetres in its display units."""
    value = Decimal(str(mm))
    return imperial(value) if units == "imperial" else metric(value)


def other_unit(length: Document, units: str) -> str:
    """The same length in the units that the document does not lead with."""
    return figure(length["mm"], "metric" if units == "imperial" else "imperial")


def identity(document: Document) -> str:
    """Boat, quote and day, as far as the document has them."""
    boat = document["boat"]["name"]
    number = f"quote {document['number']}, revision {document['revision']}" if document.get("number") else "preview"
    return f"{boat or 'A boat without a name'}; {number}, {document['issued_on']}"


def alike(assembly: Document) -> str:
    """How many are made."""
    return f"{assembly['quantity']} alike" if assembly["quantity"] != 1 else ""


def findings(assembly: Document, *severities: str) -> list[Document]:
    """Findings of these severities, in their order."""
    return [each for severity in severities for each in assembly["findings"] if each["severity"] == severity]

"""Which family of terminal an article is, and which body a turnbuckle has: the quote says it in fields of its own.

Quotes issued before it did are read as far as they tell: by their derivation, then by the words of the article's name and number. What
neither tells is drawn as a plain terminal, and the drawing says so.
"""

from __future__ import annotations

import re

from .terms import Document, Step, Steps

UNKNOWN = "terminal"
FAMILIES = ("fork", "eye", "toggle", "tee", "stud", "ball")
_STUD_FORMULA = "less the whole thread"  # said of a stud in a turnbuckle, and of nothing else
_OWN = "OWN-"
_MEASURED = "measured by the customer"


def article(assembly: Document, end: str, reach: Step) -> Document | None:
    """The part of an end whose reach that is."""
    parts: list[Document] = [part for part in assembly["parts"] if part["at"] == end]
    if reach.source.startswith(_MEASURED):
        own = next((part for part in parts if part.get("family") and part["kept"]), None)
        return own or next((part for part in parts if part["sku"].removeprefix(_OWN).lower() in FAMILIES), None)
    return next((part for part in parts if reach.source == f"catalogue {part['sku']}"), None)


def family(part: Document | None, steps: Steps, end: str, reach: Step) -> str:
    """Its family, or `terminal`."""
    if part is not None and part.get("family"):
        return str(part["family"])
    if _STUD_FORMULA in reach.formula or steps.first(f"{end} stud's whole thread"):
        return "stud"
    if part is None:
        return UNKNOWN
    for text in (part["name"], part["sku"]):
        named: str | None = next((word for word in re.findall(r"[^\W\d_]+", text.lower()) if word in FAMILIES), None)
        if named:
            return named
    return UNKNOWN


def tubular(assembly: Document) -> bool | None:
    """Whether the turnbuckle's body is a tube; None where the quote does not say."""
    told = (assembly.get("turnbuckle") or {}).get("body")
    if told is not None:
        return bool(told == "tubular")
    bodies = [part for part in assembly["parts"] if part["at"] == "turnbuckle"]
    words = {word for part in bodies for word in re.findall(r"[^\W\d_]+", f"{part['name']} {part['sku']}".lower())}
    return True if words & {"tubular", "tube"} else False if "open" in words else None

"""Writes the quote as a JSON document, once, and reads a stored document back into the model.

Numbers are decimal text, never floats. The document's members have the model's names and order.
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import msgspec

from pricing.derivation import thousandth
from pricing.model import Quote, Standing
from pricing.model.former_names import in_present_names
from pricing.units import imperial, metric, tenth

Json = dict[str, Any]
Text = Callable[[Decimal], str]
_WRITER = msgspec.json.Encoder(decimal_format="string")
_SORTED = msgspec.json.Encoder(decimal_format="string", order="sorted")


def written(quote: Quote) -> bytes:
    """The document as compact JSON in UTF-8."""
    return _WRITER.encode(quote)


def canonical(quote: Quote) -> bytes:
    """The document as JSON in the form of RFC 8785: names sorted, no white space between tokens."""
    return _SORTED.encode(quote)


def rendered(quote: Quote) -> Json:
    """The document as dictionaries, lists, text, whole numbers, booleans and None."""
    document: Json = msgspec.json.decode(written(quote))
    return document


def written_standing(standing: Standing) -> bytes:
    """A quote's standing as JSON: the members that its document has besides its status."""
    return _WRITER.encode(standing)


def read(document: Json) -> Quote:
    """The quote in a stored document of any release. Raises msgspec.ValidationError if it is not a quote's document."""
    return msgspec.convert(in_present_names(document), Quote, strict=False)


def revised(quote: Quote, supersedes: str, difference: Json) -> Quote:
    """The quote as the next revision of the one with the id `supersedes`."""
    return msgspec.structs.replace(quote, supersedes=supersedes, difference=difference)


def headed(quote: Quote, quote_id: str, number: str, revision: int) -> Quote:
    """The quote with its identity: id, number and revision."""
    return msgspec.structs.replace(quote, id=quote_id, number=number, revision=revision)


def issued(quote: Quote, checksum: str) -> Quote:
    """The quote as issued, with its document's checksum."""
    return msgspec.structs.replace(quote, status="issued", checksum=checksum)


def previewed(quote: Quote) -> Quote:
    """The quote as a preview, which has no identity."""
    return msgspec.structs.replace(quote, status="preview")


def text_in(display_units: str) -> Text:
    """The function that displays a length in mm: in feet and inches to 1/32 in, or in mm to 0.1."""
    return imperial if display_units == "imperial" else metric


def length(mm: Decimal, text: Text) -> Json:
    """A length as millimetres to 0.001 and as text, each rounded once from the length itself (MTO LS-100 rev 16 §3: never twice)."""
    return {"mm": str(thousandth(mm)), "text": text(mm)}


def cut_length(mm: Decimal, text: Text) -> Json:
    """A cut length to 0.1 mm; its text is also rounded from the sum, not from the tenths."""
    return {"mm": str(tenth(mm)), "text": text(mm)}

"""Papers made from a quote's JSON document, which tests write and change."""

from collections.abc import Callable
from typing import Any

import msgspec

from pricing.document import read
from pricing.model import QuotedAssembly
from service.documents.assembly_drawing import svg

Json = dict[str, Any]


def of(maker: Callable[..., Any]) -> Callable[..., Any]:
    """The maker of a paper, for a document instead of the quote."""
    return lambda document, *given, **named: maker(read(document), *given, **named)


def assembly_of(assembly: Json) -> QuotedAssembly:
    """The model of an assembly's document."""
    return msgspec.convert(assembly, QuotedAssembly, strict=False)


def drawing(document: Json, assembly: Json, *given: Any, **named: Any) -> bytes:
    """The drawing of one of the document's assemblies."""
    quote = read(document)
    return svg.drawing(quote, quote.assemblies[document["assemblies"].index(assembly)], *given, **named)


def likeness(document: Json, assembly: Json, *given: Any) -> bytes | None:
    """The same without a word or a figure."""
    quote = read(document)
    return svg.likeness(quote, quote.assemblies[document["assemblies"].index(assembly)], *given)

"""The content of each piece's label: the boat, the quote, and the lengths if it may be built."""

from __future__ import annotations

from collections.abc import Iterator
from urllib.parse import quote as encoded

from msgspec import Struct

from pricing.model import Length, Quote, QuotedAssembly
from pricing.settling import may_be_built
from service.documents.csv.cells import plain
from service.documents.quoted import Head, head
from service.documents.rig import words
from service.documents.speech import Speech

_MOST_CODE = 200  # characters; a code of more is too fine for a camera


class Measured(Struct, frozen=True):
    """A length by name, in the units of the quote and in the others."""

    name: str
    value: str
    other: str


class Label(Struct, frozen=True):
    """One piece's label. `piece` is empty if there is one of it; without `cut` it has no length and must not be cut."""

    tag: str
    role: str
    boat: str
    issue: str
    piece: str
    shop: str
    cut: bool
    lengths: tuple[Measured, ...]
    code: str


def labels(quote: Quote, speech: Speech, base: str | None = None, tag: str | None = None) -> Iterator[Label]:
    """A label for each piece, in the order of the quote; `tag`: of one assembly. `base`: the service's own URL, with which the address in
    the code begins, the tag behind it; without it the code holds number, revision and tag. Raises ValueError for a preview.
    """
    issue = head(quote)
    for each in quote.assemblies:
        if tag is None or each.tag == tag:
            yield from _of(quote, each, issue, speech, base)


def count(quote: Quote, tag: str | None = None) -> int:
    """How many labels these are."""
    return sum(each.quantity for each in quote.assemblies if tag is None or each.tag == tag)


def _of(quote: Quote, assembly: QuotedAssembly, issue: Head, speech: Speech, base: str | None) -> Iterator[Label]:
    cut, of = may_be_built(quote, assembly), assembly.quantity
    for piece in range(1, of + 1):
        yield Label(
            tag=assembly.tag,
            role=words.role(assembly, speech),
            boat=words.boat_of(quote, speech),
            issue=speech.say("%(number)s rev %(revision)s", number=issue.number, revision=issue.revision),
            piece=speech.say("%(piece)s of %(pieces)s", piece=piece, pieces=of) if of > 1 else "",
            shop=quote.seller.name,
            cut=cut,
            lengths=tuple(_lengths(assembly, speech)) if cut else (),
            code=_address(base, issue.id, assembly.tag) if base else plain(f"{issue.number}/{issue.revision}/{assembly.tag}")[:_MOST_CODE],
        )


def _address(base: str, quote_id: str, tag: str) -> str:
    """The quote's address, with the tag as its fragment, which no browser sends, unless the code became too fine by it."""
    at = f"{base}/v1/quotes/{quote_id}"
    whole = f"{at}#{encoded(tag, safe='')}"
    return whole if len(whole) <= _MOST_CODE else at


def _lengths(assembly: QuotedAssembly, speech: Speech) -> Iterator[Measured]:
    known: tuple[tuple[str, Length | None], ...] = (("Finished length", assembly.target_length), ("Cut length", assembly.cut_length))
    for name, length in known:
        if length is not None:
            yield Measured(speech.say(name), speech.local(length.text), words.other_unit(length, speech))

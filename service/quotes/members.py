"""Completes quotes issued by earlier releases, which lack some of the data that documents print today: it is computed again from the quote's
own request and tables. A member is a part of an assembly between its two bearings, such as a terminal, a link or the wire.
"""

from __future__ import annotations

from datetime import date

from msgspec.structs import replace

from pricing.model import Quote, QuotedAssembly
from service.engine.catalogues import NotKept
from service.http.bodies import decoded
from service.http.current import catalogues, store
from service.http.problems import Problem
from service.schemas import read_request
from service.storage import Edition, Stored


def with_members(stored: Stored) -> Quote:
    """The stored quote. Positions of members that an earlier release did not store are filled in if the quote's own tables are stored and give
    the same lengths; otherwise they stay missing, and printed documents say so.
    """
    quote = stored.quote()
    if not any(_lacks_members(each) for each in quote.assemblies):
        return quote
    try:
        again = _again(stored, quote)
    except (NotKept, Problem):
        return quote
    return replace(quote, assemblies=tuple(_filled(old, new) for old, new in zip(quote.assemblies, again, strict=True)))


def _lacks_members(assembly: QuotedAssembly) -> bool:
    """Whether the assembly can be cut, but the positions of its members are not stored; an assembly on hold has none."""
    return assembly.cut_length is not None and assembly.ends is None


def _again(stored: Stored, quote: Quote) -> tuple[QuotedAssembly, ...]:
    """The assemblies, computed again from the quote's request, tables and date. Raises NotKept, Problem."""
    day = date.fromisoformat(quote.provenance.priced_on)
    engine = catalogues().of(Edition(quote.provenance.catalogue, quote.provenance.price_table))
    _, request = store().with_request(stored.id)
    return engine.quote(read_request(decoded(request), engine.price_lists(day)), day).assemblies


def _filled(old: QuotedAssembly, new: QuotedAssembly) -> QuotedAssembly:
    same = (old.cut_length, old.target_length) == (new.cut_length, new.target_length)
    return replace(old, ends=new.ends, free_wire=new.free_wire, derivation=new.derivation) if same else old

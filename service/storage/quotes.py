"""Stores and retrieves quotes. Stored quotes never change, except for `status`."""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import fields
from datetime import date
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple, Self

from msgspec.structs import replace
from sqlalchemy import Connection, bindparam, func, or_, select

from pricing.document import canonical, headed, written, written_standing
from pricing.model import Quote, Standing
from pricing.settling import standing_of
from service.encoding.gzip import pack, pack_object, unpack
from service.lifecycle.events import EventType, quote_data
from service.lifecycle.links import Linked
from service.storage import compiled, entries
from service.storage.database import Database
from service.storage.ids import new_id
from service.storage.numbers import next_number
from service.storage.outbox import Listeners
from service.storage.records import Stored, Summary, moment, sha256_of
from service.storage.shared_transactions import SharedTransactions
from service.storage.tables import events, quotes

if TYPE_CHECKING:
    from hashlib import _Hash as Hash


class NoQuote(LookupError):
    """There is no quote with this id."""


class Sealed(NamedTuple):
    """The checksum of a quote's first issue, computed except for its id and number: `begun` is the hash up to the id, `between` and `after` are
    the text between the id and the number and after the number.
    """

    begun: Hash
    between: bytes
    after: bytes

    @classmethod
    def of(cls, quote: Quote) -> Self:
        """Hash everything that is known before the quote has a number. The placeholders for id and number are random, so no quote contains them."""
        quote_id, number = secrets.token_hex(16), secrets.token_hex(16)
        text = canonical(headed(quote, quote_id, number, 1))
        # search from the end: most of a quote is its assemblies, which come first and need not be copied
        at_number = text.rindex(number.encode())
        at_id = text.rindex(quote_id.encode(), 0, at_number)
        between, after = text[at_id + len(quote_id) : at_number], text[at_number + len(number) :]
        return cls(hashlib.sha256(memoryview(text)[:at_id]), between, after)

    def checksum(self, quote_id: str, number: str) -> str:
        """The checksum (`sha256_of`) of the quote with this id and number, neither of which needs escaping in JSON."""
        found = self.begun.copy()
        found.update(b"".join((quote_id.encode(), self.between, number.encode(), self.after)))
        return f"sha256:{found.hexdigest()}"


class Packed(NamedTuple):
    """A quote packed for storing, so that the time-consuming part is done before a transaction holds up others.

    `text` is the JSON document of `quote`, `document` its gzip; `asked` is the gzip of the request as received; only a first issue has `sealed`.
    """

    quote: Quote
    text: bytes
    document: bytes
    asked: bytes
    key: str | None = None
    sealed: Sealed | None = None

    @classmethod
    def of(cls, quote: Quote, request: bytes, key: str | None = None) -> Self:
        """Pack a quote and the request it was made from; `key` is the name of the key that sends it."""
        text = written(quote)
        sealed = None if quote.supersedes else Sealed.of(quote)
        return cls(quote, text, pack_object(text), pack(request), key, sealed)


class Quotes(Database):
    """The quotes of one database."""

    @cached_property
    def _shared(self) -> SharedTransactions:
        return SharedTransactions(self.numbering)

    def issue(self, quote: Quote, request: bytes, key: str | None = None) -> tuple[Stored, bytes]:
        """Number a quote and store it with the request as received. Returns the stored quote and the response body."""
        packed = Packed.of(quote, request, key)
        stored = self.keep(packed)
        return stored, b"".join((stored.head(), memoryview(packed.text)[1:]))

    def keep(self, packed: Packed) -> Stored:
        """Number a quote and store it."""

        def first(connection: Connection) -> Stored:
            return insert(connection, self.listeners, packed, next_number(connection, int(packed.quote.issued_on[:4])), 1)

        if not self.in_step:
            return self._shared.store(first)
        with self.numbering() as connection:
            return first(connection)

    def get(self, quote_id: str) -> Stored | None:
        """The quote with this id."""
        row = self.read_row(_ONE, {"quote_id": quote_id})
        return None if row is None else Stored(*row)

    def with_request(self, quote_id: str) -> tuple[Stored, bytes]:
        """The quote with this id, and the request it was made from. Raises NoQuote."""
        with self.reading() as connection:
            found = one(connection, quote_id)
            asked = connection.execute(_REQUEST, {"quote_id": quote_id}).scalar_one_or_none()
        if found is None or asked is None:
            raise NoQuote(quote_id)
        return found, unpack(asked)

    def linked(self, quote_id: str) -> Linked | None:
        """What the validity of links to this quote depends on; None if there is no such quote."""
        row = self.read_row(_LINKED, {"quote_id": quote_id})
        return None if row is None else Linked(*row)

    def current(self, number: str) -> str | None:
        """The id of the latest issue of a quote number."""
        row = self.read_row(_CURRENT, {"of": number})
        return None if row is None else str(row[0])

    def issue_of(self, number: str, revision: int) -> str | None:
        """The id of one issue of a quote number."""
        row = self.read_row(_ISSUE, {"of": number, "issue": revision})
        return None if row is None else str(row[0])

    def page(self, limit: int, before: str | None = None) -> list[Summary]:
        """Up to `limit` quotes, newest first; with `before`, only those older than that id."""
        query = select(*_SUMMARY).order_by(quotes.c.id.desc()).limit(limit)
        if before is not None:
            query = query.where(quotes.c.id < before)
        with self.reading() as connection:
            return [Summary(*row) for row in connection.execute(query)]

    def open_on(self, day: date, limit: int) -> tuple[list[Summary], int]:
        """The newest `limit` quotes that are open on a day, and the number of all open quotes."""
        still = (quotes.c.valid_until >= day.isoformat()) & (quotes.c.status == "issued")
        with self.reading() as connection:
            many: int = connection.execute(select(func.count()).select_from(quotes).where(still)).scalar_one()
            found = connection.execute(select(*_SUMMARY).where(still).order_by(quotes.c.id.desc()).limit(limit))
            return [Summary(*row) for row in found], many

    def count(self) -> int:
        """The number of stored quotes, each revision counted."""
        with self.reading() as connection:
            return int(connection.execute(select(func.count()).select_from(quotes)).scalar_one())


_SUMMARY = [quotes.c[field.name] for field in fields(Summary)]
_ONE = select(*(quotes.c[field.name] for field in fields(Stored))).where(quotes.c.id == bindparam("quote_id"))
_REQUEST = select(quotes.c.request).where(quotes.c.id == bindparam("quote_id"))
_ONE_HELD = _ONE.with_for_update()
_ISSUE = select(quotes.c.id).where(quotes.c.number == bindparam("of"), quotes.c.revision == bindparam("issue"))
_CURRENT = select(quotes.c.id).where(quotes.c.number == bindparam("of")).order_by(quotes.c.revision.desc()).limit(1)
_ACCEPTED = (
    select(func.min(events.c.occurred_at))
    .where(events.c.quote_id == quotes.c.id, or_(*(events.c.type == each.value for each in (EventType.ACCEPTED, EventType.CORRECTED))))
    .scalar_subquery()
)
_LINKED = select(quotes.c.valid_until, _ACCEPTED, quotes.c.link_generation).where(quotes.c.id == bindparam("quote_id"))
_INSERT = quotes.insert().values({name: bindparam(name) for name in quotes.c.keys() if name != "link_generation"})  # noqa: SIM118


def one(connection: Connection, quote_id: str, *, hold: bool = False) -> Stored | None:
    """The quote with this id; `hold` locks it until the end of the transaction."""
    row = connection.execute(_ONE_HELD if hold else _ONE, {"quote_id": quote_id}).one_or_none()
    return None if row is None else Stored(*row)


def insert(
    connection: Connection, listeners: Listeners, packed: Packed, number: str, revision: int, standing: Standing | None = None
) -> Stored:
    """Store one issue of a quote number, and notify webhooks. `standing`: the standing that a revision takes over from the issue before."""
    quote, quote_id = packed.quote, new_id()
    sealed = packed.sealed if revision == 1 else None
    checksum = sealed.checksum(quote_id, number) if sealed else sha256_of(canonical(headed(quote, quote_id, number, revision)))
    stored = Stored(
        quote_id, number, revision, "issued", checksum, quote.valid_until, packed.document, written_standing(standing or standing_of(quote))
    )
    compiled.execute(connection, _INSERT, _row(stored, packed))
    stands = quote if standing is None else replace(quote, **{name: getattr(standing, name) for name in standing.__struct_fields__})
    entries.add(connection, quote, entries.entry_of(stored, stands, packed.key))
    priced = quote.currency, _payable(quote)
    listeners.notify(connection, EventType.ISSUED, lambda: quote_data(quote_id, number, revision, stored.status, *priced))
    return stored


def _row(stored: Stored, packed: Packed) -> dict[str, object]:
    quote = packed.quote
    return {
        **{field.name: getattr(stored, field.name) for field in fields(Stored)},
        "created_at": moment(),
        "issued_on": quote.issued_on,
        "currency": quote.currency,
        "payable": _payable(quote),
        "catalogue_version": quote.provenance.catalogue,
        "price_version": quote.provenance.price_table,
        "request": packed.asked,
        "key": packed.key,
    }


def _payable(quote: Quote) -> str | None:
    return None if quote.totals.payable is None else str(quote.totals.payable)

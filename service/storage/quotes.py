"""Storing quotes and finding them again. What is stored never changes; only `status` is current."""

from __future__ import annotations

import gzip
from collections.abc import Mapping
from dataclasses import fields
from typing import Any, NamedTuple, Self

from sqlalchemy import Connection, bindparam, select

from service import json
from service.hooks.events import Event, quote_data
from service.storage.database import Database
from service.storage.ids import new_id
from service.storage.numbers import next_number
from service.storage.outbox import Listeners
from service.storage.packing import pack
from service.storage.plans import add_plan, of_quote
from service.storage.records import Stored, Summary, head, moment, sha256_of
from service.storage.tables import quotes


class NoQuote(LookupError):
    """There is no quote of that id."""


class Packed(NamedTuple):
    """A quote to be kept, already packed: what takes time is done before a transaction holds others up.

    `said` by the engine, `text` as JSON, `document` the gzip of that; `asked` gzip of the request as received, `bench` the shop's own view of its
    cutting plan.
    """

    said: Mapping[str, Any]
    text: bytes
    document: bytes
    asked: bytes
    bench: Mapping[str, Any] | None

    @classmethod
    def of(cls, said: Mapping[str, Any], request: bytes, bench: Mapping[str, Any] | None = None) -> Self:
        """Pack the engine's document and the request that it answers."""
        text = json.write(said)
        return cls(said, text, pack(text), gzip.compress(request, 1), bench)


class Quotes(Database):
    """The quotes of one database."""

    def issue(self, document: Mapping[str, Any], request: bytes, bench: Mapping[str, Any] | None = None) -> tuple[Stored, bytes]:
        """Number the engine's document and store it with the request as received, and with the shop's own view of its cutting plan.

        Returns it with the reply's bytes.
        """
        packed = Packed.of(document, request, bench)
        stored = self.keep(packed)
        return stored, head(stored.id, stored.number, 1, stored.status, stored.checksum) + packed.text[1:]

    def keep(self, packed: Packed) -> Stored:
        """Number a quote and store it."""
        with self.writing() as connection:
            number = next_number(connection, int(packed.said["issued_on"][:4]))
            return insert(connection, self.listeners, packed, number, 1)

    def get(self, quote_id: str) -> Stored | None:
        """The quote of that id."""
        with self.reading() as connection:
            return one(connection, quote_id)

    def with_request(self, quote_id: str) -> tuple[Stored, bytes]:
        """The quote of that id with the request it was made from. Raises NoQuote."""
        with self.reading() as connection:
            found = one(connection, quote_id)
            asked = connection.execute(_REQUEST, {"quote_id": quote_id}).scalar_one_or_none()
        if found is None or asked is None:
            raise NoQuote(quote_id)
        return found, gzip.decompress(asked)

    def issue_of(self, number: str, revision: int) -> str | None:
        """The id of one issue of a number."""
        with self.reading() as connection:
            found: str | None = connection.execute(_ISSUE, {"of": number, "issue": revision}).scalar_one_or_none()
        return found

    def page(self, limit: int, before: str | None = None) -> list[Summary]:
        """Up to `limit` quotes, newest first, those made before the id `before` if one is given."""
        query = select(*_SUMMARY).order_by(quotes.c.id.desc()).limit(limit)
        if before is not None:
            query = query.where(quotes.c.id < before)
        with self.reading() as connection:
            return [Summary(*row) for row in connection.execute(query)]


_SUMMARY = [quotes.c[field.name] for field in fields(Summary)]
_ONE = select(*(quotes.c[field.name] for field in fields(Stored))).where(quotes.c.id == bindparam("quote_id"))
_REQUEST = select(quotes.c.request).where(quotes.c.id == bindparam("quote_id"))
_ONE_HELD = _ONE.with_for_update()
_ISSUE = select(quotes.c.id).where(quotes.c.number == bindparam("of"), quotes.c.revision == bindparam("issue"))
_INSERT = quotes.insert()


def one(connection: Connection, quote_id: str, *, hold: bool = False) -> Stored | None:
    """The quote of that id; `hold` keeps others from changing it until the transaction ends."""
    row = connection.execute(_ONE_HELD if hold else _ONE, {"quote_id": quote_id}).one_or_none()
    return None if row is None else Stored(*row)


def insert(connection: Connection, listeners: Listeners, packed: Packed, number: str, revision: int) -> Stored:
    """Store one issue of a number, and tell of it."""
    said, quote_id = packed.said, new_id()
    checksum = sha256_of({**said, "id": quote_id, "number": number, "revision": revision})
    stored = Stored(quote_id, number, revision, "issued", checksum, said["valid_until"], packed.document)
    connection.execute(_INSERT, [_row(stored, packed)])
    if packed.bench is not None:
        add_plan(connection, of_quote(packed.bench, number), quote_id)
    priced = said["currency"], said["totals"].get("payable")
    listeners.tell(connection, Event.CREATED, lambda: quote_data(quote_id, number, revision, stored.status, *priced))
    return stored


def _row(stored: Stored, packed: Packed) -> dict[str, object]:
    said = packed.said
    return {
        **{field.name: getattr(stored, field.name) for field in fields(Stored)},
        "created": moment(),
        "issued_on": said["issued_on"],
        "currency": said["currency"],
        "payable": said["totals"].get("payable"),
        "catalogue_version": said["provenance"]["catalogue"],
        "price_version": said["provenance"]["price_table"],
        "request": packed.asked,
    }

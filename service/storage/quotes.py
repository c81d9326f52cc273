"""Storing quotes and finding them again. What is stored never changes; only `status` is current."""

from __future__ import annotations

import gzip
from collections.abc import Mapping
from dataclasses import fields
from typing import Any

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


class Quotes(Database):
    """The quotes of one database."""

    def issue(self, document: Mapping[str, Any], request: bytes, bench: Mapping[str, Any] | None = None) -> tuple[Stored, bytes]:
        """Number the engine's document and store it with the request as received, and with the shop's own view of its cutting plan.

        Returns it with the reply's bytes.
        """
        said, asked = json.write(document), gzip.compress(request, 1)
        packed = pack(said)
        with self.writing() as connection:
            number = next_number(connection, int(document["issued_on"][:4]))
            stored = insert(connection, self.listeners, document, packed, asked, number, 1, bench)
        return stored, head(stored.id, number, 1, stored.status, stored.checksum) + said[1:]

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


def insert(
    connection: Connection,
    listeners: Listeners,
    document: Mapping[str, Any],
    packed: bytes,
    asked: bytes,
    number: str,
    revision: int,
    bench: Mapping[str, Any] | None,
) -> Stored:
    """Store one issue of a number, and tell of it. `packed` is the document's gzip, `asked` that of the request as received, `bench` its plan's own view."""
    quote_id = new_id()
    checksum = sha256_of({**document, "id": quote_id, "number": number, "revision": revision})
    stored = Stored(quote_id, number, revision, "issued", checksum, document["valid_until"], packed)
    connection.execute(_INSERT, [_row(stored, document, asked)])
    if bench is not None:
        add_plan(connection, of_quote(bench, number), quote_id)
    priced = document["currency"], document["totals"].get("payable")
    listeners.tell(connection, Event.CREATED, lambda: quote_data(quote_id, number, revision, stored.status, *priced))
    return stored


def _row(stored: Stored, document: Mapping[str, Any], request: bytes) -> dict[str, object]:
    provenance = document["provenance"]
    return {
        **{field.name: getattr(stored, field.name) for field in fields(Stored)},
        "created": moment(),
        "issued_on": document["issued_on"],
        "currency": document["currency"],
        "payable": document["totals"].get("payable"),
        "catalogue_version": provenance["catalogue"],
        "price_version": provenance["price_table"],
        "request": request,
    }

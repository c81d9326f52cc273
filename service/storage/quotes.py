"""Storing quotes and finding them again. What is stored never changes; only `status` is current."""

from __future__ import annotations

import gzip
import hashlib
import threading
from collections.abc import Mapping
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, fields
from datetime import UTC, datetime
from functools import cached_property
from typing import Any

from sqlalchemy import Engine, bindparam, select

from service import json
from service.storage.connect import WRITES, connect
from service.storage.ids import new_id
from service.storage.numbers import next_number
from service.storage.plans import add_plan
from service.storage.tables import quotes


@dataclass(frozen=True, slots=True)
class Summary:
    """A quote's line in a list. `created` RFC 3339 in UTC, days ISO, `payable` decimal text."""

    id: str
    number: str
    revision: int
    status: str
    created: str
    issued_on: str
    valid_until: str
    currency: str
    payable: str | None
    checksum: str


@dataclass(frozen=True, slots=True)
class Stored:
    """A stored quote: its head, and the engine's document as it lies."""

    id: str
    number: str
    revision: int
    status: str
    checksum: str
    document: bytes

    @property
    def etag(self) -> str:
        """Strong entity tag of the reply."""
        return f"{self.checksum[7:39]}-{self.status}"

    def body(self) -> bytes:
        """The reply: the head, then what the engine said, byte for byte."""
        return head(self.id, self.number, self.revision, self.status, self.checksum) + gzip.decompress(self.document)[1:]

    def said(self) -> dict[str, Any]:
        """The document with its head."""
        found: dict[str, Any] = json.read(self.body())
        return found


def head(quote_id: str, number: str, revision: int, status: str, checksum: str) -> bytes:
    """The opening members of a stored quote's reply, up to and with the comma before the engine's."""
    members = {"id": quote_id, "number": number, "revision": revision, "status": status, "checksum": checksum}
    return json.write(members)[:-1] + b","


class Quotes:
    """The quotes of one database. Made before the workers fork, it opens its connections at first use, after it."""

    def __init__(self, url: str, pool_size: int = 16) -> None:
        self._url, self._pool_size = url, pool_size
        self._opening = threading.Lock()
        self._writing: AbstractContextManager[object] = threading.Lock() if url.startswith("sqlite") else nullcontext()

    @cached_property
    def _engine(self) -> Engine:
        return connect(self._url, self._pool_size)

    def engine(self) -> Engine:
        """This process's engine."""
        with self._opening:
            return self._engine

    def issue(self, document: Mapping[str, Any], request: bytes, bench: Mapping[str, Any] | None = None) -> tuple[Stored, bytes]:
        """Number the engine's document and store it with the request as received, and with the shop's own view of its cutting plan.

        Returns it with the reply's bytes.
        """
        said = json.write(document)
        packed, asked = gzip.compress(said, 1), gzip.compress(request, 1)
        with self._writing, self.engine().connect().execution_options(**{WRITES: True}) as connection, connection.begin():
            number, quote_id = next_number(connection, int(document["issued_on"][:4])), new_id()
            checksum = sha256_of({**document, "id": quote_id, "number": number, "revision": 1})
            stored = Stored(quote_id, number, 1, "issued", checksum, packed)
            connection.execute(_INSERT, [_row(stored, document, asked)])
            if bench is not None:
                add_plan(connection, bench, quote_id)
        return stored, head(quote_id, number, 1, "issued", checksum) + said[1:]

    def get(self, quote_id: str) -> Stored | None:
        """The quote of that id."""
        with self.engine().connect() as connection:
            row = connection.execute(_ONE, {"quote_id": quote_id}).one_or_none()
        return None if row is None else Stored(*row)

    def page(self, limit: int, before: str | None = None) -> list[Summary]:
        """Up to `limit` quotes, newest first, those made before the id `before` if one is given."""
        columns = [quotes.c[field.name] for field in fields(Summary)]
        query = select(*columns).order_by(quotes.c.id.desc()).limit(limit)
        if before is not None:
            query = query.where(quotes.c.id < before)
        with self.engine().connect() as connection:
            return [Summary(*row) for row in connection.execute(query)]

    def reachable(self) -> None:
        """Raises SQLAlchemyError where the database does not answer or has no tables."""
        with self.engine().connect() as connection:
            connection.execute(select(quotes.c.id).limit(1)).all()

    def close(self) -> None:
        """Close this process's connections."""
        self.engine().dispose()


_ONE = select(*(quotes.c[field.name] for field in fields(Stored))).where(quotes.c.id == bindparam("quote_id"))
_INSERT = quotes.insert()


def sha256_of(document: Mapping[str, Any]) -> str:
    """Checksum of an issued quote: of its canonical form (RFC 8785), `status` and `checksum` left out."""
    return f"sha256:{hashlib.sha256(json.canonical(document)).hexdigest()}"


def _row(stored: Stored, document: Mapping[str, Any], request: bytes) -> dict[str, object]:
    provenance = document["provenance"]
    return {
        **{field.name: getattr(stored, field.name) for field in fields(Stored)},
        "created": datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z"),
        "issued_on": document["issued_on"],
        "valid_until": document["valid_until"],
        "currency": document["currency"],
        "payable": document["totals"].get("payable"),
        "catalogue_version": provenance["catalogue"],
        "price_version": provenance["price_table"],
        "request": request,
    }

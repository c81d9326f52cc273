"""Quotes as read from the database: a list entry (`Summary`), or a complete stored quote (`Stored`)."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from typing import Any, Self

from pricing.document import read
from pricing.model import Quote
from pricing.model.former_names import in_present_names
from service.encoding import json
from service.encoding.gzip import pack, put_before, unpack, unpack_behind
from service.lifecycle.statuses import status_on


@dataclass(frozen=True, slots=True)
class Summary:
    """A quote's entry in a list. `created_at` is RFC 3339 in UTC, days are ISO, `payable` is decimal text."""

    id: str
    number: str
    revision: int
    status: str
    created_at: str
    issued_on: str
    valid_until: str
    currency: str
    payable: str | None
    checksum: str

    def on(self, day: date) -> Self:
        """The same quote with its status as of that day."""
        return replace(self, status=status_on(self.status, self.valid_until, day))


@dataclass(frozen=True, slots=True)
class Stored:
    """A stored quote: its head, its standing, and the engine's document as stored. `status` is as stored, or as of a day.

    `standing` is the JSON of a `pricing.model.Standing`; `standing_version` counts its changes.
    """

    id: str
    number: str
    revision: int
    status: str
    checksum: str
    valid_until: str
    document: bytes
    standing: bytes | None = None
    standing_version: int = 0

    @property
    def etag(self) -> str:
        """The strong entity tag of the response."""
        version = f"-{self.standing_version}" if self.standing_version else ""
        return f"{self.checksum[7:39]}-{self.status}{version}"

    def on(self, day: date) -> Self:
        """The same quote with its status as of that day."""
        status = status_on(self.status, self.valid_until, day)
        return self if status == self.status else replace(self, status=status)

    def body(self) -> bytes:
        """The response body: the head, then the engine's document, byte for byte."""
        return self.head() + unpack_behind(self.document)

    def head(self) -> bytes:
        """The first members of the response, up to and including the comma before the engine's document."""
        members = {"id": self.id, "number": self.number, "revision": self.revision, "status": self.status, "checksum": self.checksum}
        standing = b"" if self.standing is None else b"," + self.standing[1:-1]
        return json.write(members)[:-1] + standing + b","

    def packed_body(self) -> bytes:
        """The response body as gzip."""
        return put_before(self.head(), self.document) or pack(self.body())

    def quote(self) -> Quote:
        """The quote as a typed model, with its id, number and status."""
        return read(json.read_own(self.body()))

    def parsed(self) -> dict[str, Any]:
        """The engine's document as JSON, with its fields named as in this release."""
        document: dict[str, Any] = in_present_names(json.read_own(unpack(self.document)))
        return document


def sha256_of(canonical: bytes) -> str:
    """The checksum of an issued quote: of its canonical form (RFC 8785), without `status` and `checksum`."""
    return f"sha256:{hashlib.sha256(canonical).hexdigest()}"


def moment() -> str:
    """The current time, RFC 3339 in UTC, to a millisecond."""
    return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")

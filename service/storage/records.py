"""What is read of a stored quote: its line in a list, or its head and the engine's document as it lies."""

from __future__ import annotations

import gzip
import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from typing import Any, Self

from service import json
from service.life.statuses import status_on
from service.storage.packing import with_head


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

    def on(self, day: date) -> Self:
        """The same with its status of that day."""
        return replace(self, status=status_on(self.status, self.valid_until, day))


@dataclass(frozen=True, slots=True)
class Stored:
    """A stored quote: its head, and the engine's document as it lies. `status` is as stored, or as of a day."""

    id: str
    number: str
    revision: int
    status: str
    checksum: str
    valid_until: str
    document: bytes

    @property
    def etag(self) -> str:
        """Strong entity tag of the reply."""
        return f"{self.checksum[7:39]}-{self.status}"

    def on(self, day: date) -> Self:
        """The same with its status of that day."""
        status = status_on(self.status, self.valid_until, day)
        return self if status == self.status else replace(self, status=status)

    def body(self) -> bytes:
        """The reply: the head, then what the engine said, byte for byte."""
        return head(self.id, self.number, self.revision, self.status, self.checksum) + gzip.decompress(self.document)[1:]

    def packed_body(self) -> bytes:
        """gzip of the reply, of the bytes as they lie."""
        return with_head(head(self.id, self.number, self.revision, self.status, self.checksum), self.document)

    def said(self) -> dict[str, Any]:
        """The engine's document."""
        found: dict[str, Any] = json.read(gzip.decompress(self.document))
        return found


def head(quote_id: str, number: str, revision: int, status: str, checksum: str) -> bytes:
    """The opening members of a stored quote's reply, up to and with the comma before the engine's."""
    members = {"id": quote_id, "number": number, "revision": revision, "status": status, "checksum": checksum}
    return json.write(members)[:-1] + b","


def sha256_of(document: Mapping[str, Any]) -> str:
    """Checksum of an issued quote: of its canonical form (RFC 8785), `status` and `checksum` left out."""
    return f"sha256:{hashlib.sha256(json.canonical(document)).hexdigest()}"


def moment() -> str:
    """This moment, RFC 3339 in UTC, to a millisecond."""
    return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")

"""Responses to requests that must not be carried out twice: claimed before the work, stored in the same transaction as the work's
results.

A claim is renewed while its request is carried out, however long that takes. If the process was killed before it could respond, the claim
is released at once if the process is known to be dead, otherwise when its lease runs out by the database's own clock. A claim that
expires more than two leases from now was made before that clock was set back, and is released too. Storing a response requires the
claim, so only the latest holder can store its work.
"""

from __future__ import annotations

import math
import secrets
from collections.abc import Callable
from contextlib import AbstractContextManager
from typing import Any, NamedTuple

from sqlalchemy import ColumnElement, Connection, and_, bindparam, literal, or_, select
from sqlalchemy.dialects import postgresql, sqlite

from service.encoding import json
from service.encoding.gzip import pack, unpack
from service.storage import processes
from service.storage.clock import moment_in, now
from service.storage.database import Database
from service.storage.renewal import Renewal
from service.storage.tables import answers

KEPT_SECONDS = 24 * 3600.0
LEASE_SECONDS = 60.0
_SWEEP_SECONDS = 600.0


class IdempotentRequest(NamedTuple):
    """The caller, the idempotency key, and the fingerprint of the request (SHA-256)."""

    owner: str
    key: str
    fingerprint: str


class StoredResponse(NamedTuple):
    """A response as it was sent."""

    status: int
    headers: list[tuple[str, str]]
    body: bytes


class StillRunning(Exception):
    """The first request with this key is still running; `seconds` until a retry is worthwhile."""

    def __init__(self, seconds: int = 1) -> None:
        super().__init__()
        self.seconds = seconds


class OtherRequest(Exception):
    """The key has been used for a different request."""


class Overtaken(Exception):
    """A later request has taken over the claim; nothing of this one may be stored."""


class IdempotencyStore:
    """The stored responses in one database. `clock`: seconds since 1970, by default the database's own; `renewed`: seconds between two
    renewals of a claim.
    """

    def __init__(self, database: Database, clock: Callable[[], float] | None = None, renewed: float = LEASE_SECONDS / 3) -> None:
        self._database, self._clock, self._sweep_at = database, clock, 0.0
        self._renewal = Renewal(self._renew, renewed)

    def claim(self, requested: IdempotentRequest) -> str | StoredResponse:
        """Claim the request for execution, or return the response it already had. Raises StillRunning, OtherRequest."""
        claim = secrets.token_hex(16)
        with self._database.writing() as connection:
            now = self._now(connection)
            self._sweep(connection, now)
            until = now + LEASE_SECONDS
            row = {**requested._asdict(), "claim": claim, "until": until, "holder": processes.this_process()}
            if connection.execute(_CLAIM[connection.dialect.name], {**row, "now": now, "most": until + LEASE_SECONDS}).one_or_none():
                return claim
            found = connection.execute(_FOUND, _of(requested)).one()
            if found.status is None and processes.runs(found.holder) is False:
                if connection.execute(_MINE.values(row), {**_of(requested), "mine": found.claim}).rowcount == 1:
                    return claim
                found = connection.execute(_FOUND, _of(requested)).one()
        return _stored_response(found, requested, now)

    def _now(self, connection: Connection) -> float:
        return self._clock() if self._clock else now(connection)

    def _moment(self, connection: Connection) -> ColumnElement[float]:
        return literal(self._clock()) if self._clock else moment_in(connection)

    def holding(self, requested: IdempotentRequest, claim: str) -> AbstractContextManager[None]:
        """Keep the claim from lapsing while the request is carried out."""
        return self._renewal.of(requested, claim)

    def _renew(self, requested: IdempotentRequest, claim: str) -> None:
        with self._database.writing() as connection:
            connection.execute(_MINE.values(until=self._moment(connection) + LEASE_SECONDS), {**_of(requested), "mine": claim})

    def keep(self, requested: IdempotentRequest, claim: str, answer: StoredResponse) -> None:
        """Store the response for a day, in the current transaction. Raises Overtaken."""
        kept: dict[str, object] = {
            "status": answer.status,
            "headers": json.write(answer.headers).decode(),
            "body": pack(answer.body),
        }
        with self._database.writing() as connection:
            kept["until"] = self._moment(connection) + KEPT_SECONDS
            if connection.execute(_MINE.values(kept), {**_of(requested), "mine": claim}).rowcount != 1:
                raise Overtaken

    def release(self, requested: IdempotentRequest, claim: str) -> None:
        """Release a claim: the request was refused and stored nothing."""
        with self._database.writing() as connection:
            connection.execute(_RELEASE, {**_of(requested), "mine": claim})

    def _sweep(self, connection: Connection, now: float) -> None:
        if now >= self._sweep_at:
            self._sweep_at = now + _SWEEP_SECONDS
            connection.execute(answers.delete().where(answers.c.until < now))


def _stored_response(row: Any, requested: IdempotentRequest, now: float) -> StoredResponse:
    if row.fingerprint != requested.fingerprint:
        raise OtherRequest
    if row.status is None:
        raise StillRunning(1 if processes.runs(row.holder) else max(math.ceil(row.until - now), 1))
    headers = [(str(name), str(value)) for name, value in json.read(row.headers.encode())]
    return StoredResponse(row.status, headers, unpack(row.body))


def _of(requested: IdempotentRequest) -> dict[str, str]:
    return {"of": requested.owner, "under": requested.key}


_THIS = (answers.c.owner == bindparam("of"), answers.c.key == bindparam("under"))
_HELD = (*_THIS, answers.c.claim == bindparam("mine"), answers.c.status.is_(None))
_FOUND = select(answers).where(*_THIS)
_MINE = answers.update().where(*_HELD)
_RELEASE = answers.delete().where(*_HELD)
_CLAIM = {}
for _name, _insert in (("sqlite", sqlite.insert(answers)), ("postgresql", postgresql.insert(answers))):
    _CLAIM[_name] = (
        _insert.values({name: bindparam(name) for name in ("owner", "key", "fingerprint", "claim", "until", "holder")})
        .on_conflict_do_update(
            index_elements=[answers.c.owner, answers.c.key],
            set_={
                **{name: _insert.excluded[name] for name in ("fingerprint", "claim", "until", "holder")},
                **dict.fromkeys(("status", "headers", "body")),
            },
            where=or_(answers.c.until < bindparam("now"), and_(answers.c.status.is_(None), answers.c.until > bindparam("most"))),
        )
        .returning(answers.c.claim)
    )

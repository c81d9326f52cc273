"""Answers to requests that must not be carried out twice: claimed before the work, kept in the transaction of what the work stores.

A claim whose request ended without an answer, since its process was killed, is lost after a lease; who takes it over then is the only one
whose work can be kept, since keeping an answer asks for the claim.
"""

from __future__ import annotations

import gzip
import secrets
import time
from collections.abc import Callable
from typing import Any, NamedTuple

from sqlalchemy import Connection, bindparam, select
from sqlalchemy.dialects import postgresql, sqlite

from service import json
from service.storage.database import Database
from service.storage.tables import answers

KEPT_SECONDS = 24 * 3600.0
LEASE_SECONDS = 60.0
_SWEEP_SECONDS = 600.0


class Asked(NamedTuple):
    """Whose request, under which key, and what it is (SHA-256)."""

    owner: str
    key: str
    fingerprint: str


class Answer(NamedTuple):
    """A reply as it was said."""

    status: int
    headers: list[tuple[str, str]]
    body: bytes


class StillRunning(Exception):
    """The first request with this key is not done."""


class OtherRequest(Exception):
    """The key was used for another request."""


class Overtaken(Exception):
    """The claim was lost to a later request; nothing of this one may be kept."""


class Answers:
    """The answers of one database. `clock`: seconds since 1970."""

    def __init__(self, database: Database, clock: Callable[[], float] = time.time) -> None:
        self._database, self._clock, self._sweep_at = database, clock, 0.0

    def claim(self, asked: Asked) -> str | Answer:
        """A claim to carry the request out, or the answer that it had. Raises StillRunning, OtherRequest."""
        now, claim = self._clock(), secrets.token_hex(16)
        row = {**asked._asdict(), "claim": claim, "until": now + LEASE_SECONDS}
        with self._database.writing() as connection:
            self._sweep(connection, now)
            taken = connection.execute(_CLAIM[connection.dialect.name], {**row, "now": now}).one_or_none()
            found = None if taken else connection.execute(_FOUND, {"of": asked.owner, "under": asked.key}).one()
        return claim if found is None else _said(found, asked)

    def keep(self, asked: Asked, claim: str, answer: Answer) -> None:
        """Keep the answer for a day, in the transaction that is open. Raises Overtaken."""
        kept = {
            "status": answer.status,
            "headers": json.write(answer.headers).decode(),
            "body": gzip.compress(answer.body, 1),
            "until": self._clock() + KEPT_SECONDS,
        }
        with self._database.writing() as connection:
            if connection.execute(_MINE.values(kept), {**_of(asked), "mine": claim}).rowcount != 1:
                raise Overtaken

    def release(self, asked: Asked, claim: str) -> None:
        """Give a claim back: the request was refused, and stored nothing."""
        with self._database.writing() as connection:
            connection.execute(_RELEASE, {**_of(asked), "mine": claim})

    def _sweep(self, connection: Connection, now: float) -> None:
        if now >= self._sweep_at:
            self._sweep_at = now + _SWEEP_SECONDS
            connection.execute(answers.delete().where(answers.c.until < now))


def _said(row: Any, asked: Asked) -> Answer:
    if row.fingerprint != asked.fingerprint:
        raise OtherRequest
    if row.status is None:
        raise StillRunning
    headers = [(str(name), str(value)) for name, value in json.read(row.headers.encode())]
    return Answer(row.status, headers, gzip.decompress(row.body))


def _of(asked: Asked) -> dict[str, str]:
    return {"of": asked.owner, "under": asked.key}


_THIS = (answers.c.owner == bindparam("of"), answers.c.key == bindparam("under"))
_HELD = (*_THIS, answers.c.claim == bindparam("mine"), answers.c.status.is_(None))
_FOUND = select(answers.c.fingerprint, answers.c.status, answers.c.headers, answers.c.body).where(*_THIS)
_MINE = answers.update().where(*_HELD)
_RELEASE = answers.delete().where(*_HELD)
_CLAIM = {}
for _name, _insert in (("sqlite", sqlite.insert(answers)), ("postgresql", postgresql.insert(answers))):
    _CLAIM[_name] = (
        _insert.values({name: bindparam(name) for name in ("owner", "key", "fingerprint", "claim", "until")})
        .on_conflict_do_update(
            index_elements=[answers.c.owner, answers.c.key],
            set_={
                **{name: _insert.excluded[name] for name in ("fingerprint", "claim", "until")},
                **dict.fromkeys(("status", "headers", "body")),
            },
            where=answers.c.until < bindparam("now"),
        )
        .returning(answers.c.claim)
    )

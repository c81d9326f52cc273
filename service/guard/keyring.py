"""The keys as one process knows them: read from the database at most once a second, so that a request costs a look in a dictionary.

A key that is revoked is refused within a second by every process. Where the database does not answer, the keys known last go on: without
it nothing stored can be read or changed anyway.
"""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from sqlalchemy.exc import SQLAlchemyError

from service.guard.keys import EVERY_SCOPE, Key, Kind, digest_of, id_of, matches
from service.storage.keys import Keys, LinkSecret
from service.storage.records import moment

LOOK_SECONDS = 1.0
UNKNOWN_SECONDS = 0.1  # a key or secret that is not known may have been made this moment by another process
BLIND_SECONDS = 15.0
log = logging.getLogger("service")


@dataclass(frozen=True, slots=True)
class _Ring:
    keys: Mapping[str, Key]
    secrets: Mapping[str, LinkSecret]
    origins: frozenset[str]
    read_at: float
    look_at: float


@dataclass(slots=True)
class Keyring:
    """The keys of one process. `demo`: the demo key, where one is accepted; `shop`: the key of the demonstration shop's page, where it is served."""

    keys: Keys
    demo: str | None = None
    shop: Key | None = None
    clock: Callable[[], float] = time.monotonic
    _ring: _Ring | None = None
    _noted: dict[str, str] = field(default_factory=dict)
    _looking: threading.Lock = field(default_factory=threading.Lock)

    def find(self, text: str) -> Key | None:
        """The live key that this text is. Raises SQLAlchemyError where no key was ever read."""
        if self.demo is not None and matches(text, digest_of(self.demo)):
            return _DEMO
        if self.shop is not None and matches(text, self.shop.digest):
            return self.shop
        key_id = id_of(text)
        if key_id is None:
            return None
        key = self._known().keys.get(key_id) or self._known(UNKNOWN_SECONDS).keys.get(key_id)
        if key is None or not matches(text, key.digest) or not key.live(moment()):
            return None
        self._note(key)
        return key

    def origins(self) -> frozenset[str]:
        """Every origin that a live publishable key is bound to; none where the database does not answer."""
        try:
            return self._known().origins
        except (SQLAlchemyError, OSError):
            return frozenset()

    def secret(self, secret_id: str) -> bytes | None:
        """A link secret that is not withdrawn."""
        found = self._known().secrets.get(secret_id) or self._known(UNKNOWN_SECONDS).secrets.get(secret_id)
        return found.secret if found else None

    def newest_secret(self) -> LinkSecret:
        """The secret that links are signed with; the first link makes it where the start did not."""
        if not self._known().secrets and not self._known(0).secrets:
            self.keys.make_secret()
            self._ring = None
        return list(self._known().secrets.values())[-1]

    def _known(self, oldest: float | None = None) -> _Ring:
        """The ring; read again where it is older than `oldest`, or due."""
        ring, now = self._ring, self.clock()
        if ring is not None and (now < ring.look_at if oldest is None else now - ring.read_at < oldest):
            return ring
        with self._looking:
            if self._ring is ring or self._ring is None:
                self._ring = self._read(ring)
            return self._ring

    def _read(self, before: _Ring | None) -> _Ring:
        try:
            live, secrets = self.keys.live(), self.keys.secrets()
        except (SQLAlchemyError, OSError):
            if before is None:
                raise
            log.warning("the keys could not be looked up; those known last go on")
            return _Ring(before.keys, before.secrets, before.origins, self.clock(), self.clock() + BLIND_SECONDS)
        origins = frozenset[str]().union(*(key.origins for key in live))
        now = self.clock()
        return _Ring({key.id: key for key in live}, {each.id: each for each in secrets}, origins, now, now + LOOK_SECONDS)

    def _note(self, key: Key) -> None:
        """Note the day of a key's use, once a day; a database that is busy does not stop the request."""
        day = moment()[:10]
        if self._noted.get(key.id, key.last_used) == day:
            return
        self._noted[key.id] = day
        try:
            self.keys.used(key.id, day)
        except SQLAlchemyError:
            log.warning("the day on which the key %s was used could not be noted", key.id)


_DEMO = Key("demo", Kind.DEMO, "demo", "demo", "", EVERY_SCOPE, frozenset(), "")

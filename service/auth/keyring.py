"""The keys as one process knows them: read from the database at most once a second, so that a request costs only a dictionary lookup.

Every process refuses a revoked key within a second, whatever its clock says, because the database marks the key as ended. While the
database does not respond, a key known to be revoked stays revoked. Keys that were live remain valid for some minutes: without the
database nothing stored can be read or changed anyway, and restarting it should not stop all of a shop's previews. After that, no key
is accepted until the database responds.
"""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from sqlalchemy.exc import SQLAlchemyError

from service.credentials.keys import EVERY_SCOPE, Key, Kind, digest_of, id_of, matches
from service.storage.keys import Keys, LinkSecret
from service.storage.records import moment

LOOK_SECONDS = 1.0
MOST_BLIND_SECONDS = 300.0  # how long keys remain valid while they cannot be looked up
UNKNOWN_SECONDS = 0.1  # minimum age of the cache before an unknown key or secret is looked up: another process may just have created it
log = logging.getLogger("service")


@dataclass(frozen=True, slots=True)
class _Ring:
    keys: Mapping[str, Key]
    secrets: Mapping[str, LinkSecret]
    origins: frozenset[str]
    read_at: float
    look_at: float
    seen_at: float  # when the database last responded
    trouble: SQLAlchemyError | OSError | None = None  # why the database does not respond


@dataclass(slots=True)
class Keyring:
    """The keys of one process. `demo`: the demo key, if one is accepted; `shop`: the key of the demonstration shop's page, if it is
    served.

    The demo key grants full access, so it is accepted only while there are no other keys, unless `beside` allows it alongside them.
    """

    keys: Keys
    demo: str | None = None
    shop: Key | None = None
    beside: bool = False
    clock: Callable[[], float] = time.monotonic
    _ring: _Ring | None = None
    _noted: dict[str, str] = field(default_factory=dict)
    _looking: threading.Lock = field(default_factory=threading.Lock)

    def find(self, text: str) -> Key | None:
        """The live key for this text. Raises SQLAlchemyError if no keys could ever be read."""
        if self.demo is not None and matches(text, digest_of(self.demo)):
            return _DEMO if self.beside or not self._known().keys else None
        if self.shop is not None and matches(text, self.shop.digest):
            return self.shop
        key_id = id_of(text)
        if key_id is None:
            return None
        key = self._known().keys.get(key_id) or self._known(UNKNOWN_SECONDS).keys.get(key_id)
        if key is None or not matches(text, key.digest):
            return None
        self._note(key)
        return key

    def origins(self) -> frozenset[str]:
        """Every origin that a live publishable key is bound to; none if the database does not respond."""
        try:
            return self._known().origins
        except (SQLAlchemyError, OSError):
            return frozenset()

    def secret(self, secret_id: str) -> bytes | None:
        """A link secret that has not been withdrawn."""
        found = self._known().secrets.get(secret_id) or self._known(UNKNOWN_SECONDS).secrets.get(secret_id)
        return found.secret if found else None

    def newest_secret(self) -> LinkSecret:
        """The secret that links are signed with; created with the first link if not at start-up.

        Called within transactions, so it never waits for another thread's lookup, which may itself be waiting for this thread's
        connection.
        """
        if self._ring is not None and self._ring.secrets:  # looked up when the request came in
            return list(self._ring.secrets.values())[-1]
        if not self._known().secrets and not self._known(0).secrets:
            self.keys.make_secret()
            self._ring = None
        return list(self._known().secrets.values())[-1]

    def secret_to_sign(self) -> LinkSecret | None:
        """The same if there is one; none is created. It may wait for another thread's lookup: not for use within a transaction."""
        found = list(self._known().secrets.values())
        return found[-1] if found else None

    def _known(self, oldest: float | None = None) -> _Ring:
        """The cached keys; read again if they are older than `oldest`, or due."""
        ring, now = self._ring, self.clock()
        if ring is not None and (now < ring.look_at if oldest is None else now - ring.read_at < oldest):
            return ring
        blind = ring is not None and ring.trouble is not None
        if self._looking.acquire(blocking=not blind):  # while the database does not respond, only one request at a time waits for it
            try:
                if self._ring is ring or self._ring is None:
                    self._ring = self._read(ring)
            finally:
                self._looking.release()
        return self._trusted()

    def _trusted(self) -> _Ring:
        """The cached keys, unless they are too old to rely on. Raises the database's error."""
        ring = self._ring
        assert ring is not None  # noqa: S101  # read before
        if ring.trouble is not None and self.clock() - ring.seen_at > MOST_BLIND_SECONDS:
            raise ring.trouble
        return ring

    def _read(self, before: _Ring | None) -> _Ring:
        try:
            live, secrets = self.keys.live(), self.keys.secrets()
        except (SQLAlchemyError, OSError) as trouble:
            if before is None:
                raise
            if before.trouble is None:
                log.warning(
                    "the keys cannot be read from the database; those read last stay valid for %d s",
                    MOST_BLIND_SECONDS,
                )
            now = self.clock()
            return replace(before, read_at=now, look_at=now + LOOK_SECONDS, trouble=trouble)
        origins = frozenset[str]().union(*(key.origins for key in live))
        now = self.clock()
        return _Ring({key.id: key for key in live}, {each.id: each for each in secrets}, origins, now, now + LOOK_SECONDS, now)

    def _note(self, key: Key) -> None:
        """Record the day of a key's use, once a day; a busy database does not hold up the request."""
        day = moment()[:10]
        if self._noted.get(key.id, key.last_used) == day:
            return
        self._noted[key.id] = day
        try:
            self.keys.used(key.id, day)
        except SQLAlchemyError:
            log.warning("the last day of use of key %s could not be recorded", key.id)


_DEMO = Key("demo", Kind.DEMO, "demo", "demo", "", EVERY_SCOPE, frozenset(), "")

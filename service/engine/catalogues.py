"""The tables a process quotes with: those in force, replaced without a restart, and those of old quotes, loaded from the database.

The database names the edition in force. A process checks it at most once a second, when a request arrives (one row by its key). If
the edition has changed, it is loaded in a background thread and then replaces the previous one in a single step. A request keeps
the tables it began with.
"""

from __future__ import annotations

import logging
import tempfile
import threading
import time
from collections.abc import Callable, Mapping
from functools import lru_cache
from pathlib import Path

from sqlalchemy.exc import SQLAlchemyError

from pricing.catalogue.plausibility import ACCEPTED
from pricing.errors import TableError
from service.encoding.gzip import DAMAGED
from service.engine.engine import Engine, engine_of
from service.settings import Settings
from service.storage import Edition, Editions

LOOK_SECONDS = 1.0
BLIND_SECONDS = 15.0  # until the next check after the database did not respond, since such a check may take seconds
OLD_EDITIONS = 4
UNREADABLE: tuple[type[Exception], ...] = (*DAMAGED, ValueError)  # ValueError: unpacked, but not JSON
log = logging.getLogger("service")


class NotKept(LookupError):
    """The tables of an old quote are not in the database: they were in use before tables were stored there."""

    def __init__(self, edition: Edition) -> None:
        super().__init__(f"The tables {edition.catalogue} with prices {edition.prices} are not kept in this database.")


class Damaged(NotKept):
    """The tables of an edition are in the database, but cannot be read back."""

    def __init__(self, edition: Edition) -> None:
        LookupError.__init__(
            self, f"The tables {edition.catalogue} with prices {edition.prices} are damaged in this database: restore a backup."
        )


def files_of(folder: Path) -> dict[str, str]:
    """The tables in a folder as text, by file name, but for the accepted doubts: they hold names, count in no quote and stay in the folder."""
    return {path.name: path.read_bytes().decode("utf-8-sig") for path in sorted(folder.glob("*.csv")) if path.name != ACCEPTED}


def engine_from(files: Mapping[str, str], settings: Settings) -> Engine:
    """An engine built from tables given as text. Raises TableError."""
    with tempfile.TemporaryDirectory(prefix="tables-") as place:
        for name, content in files.items():
            (Path(place) / name).write_bytes(content.encode())
        return engine_of(Path(place), settings)


class Catalogues:
    """The engines of one process."""

    def __init__(self, settings: Settings, editions: Editions, first: Engine, clock: Callable[[], float] = time.monotonic) -> None:
        self._settings, self._editions, self._clock = settings, editions, clock
        self._current, self._look_at = first, clock() + LOOK_SECONDS
        self._begun: Edition | None = None
        self._looking = threading.Lock()
        self._old = lru_cache(maxsize=OLD_EDITIONS)(self._load)

    def current(self) -> Engine:
        """The engine with the tables in force, as far as this process knows."""
        if self._clock() >= self._look_at and self._looking.acquire(blocking=False):
            try:
                wanted = self._wanted()
            finally:
                self._looking.release()
            if wanted is not None:
                threading.Thread(target=self._exchange, args=(wanted,), name="tables").start()
        return self._current

    def refresh(self) -> None:
        """Check at once, and load a new edition synchronously if there is one."""
        wanted = self._wanted()
        if wanted is not None:
            self._exchange(wanted)

    def of(self, edition: Edition) -> Engine:
        """The engine with the tables that an old quote was made with. Raises NotKept, TableError."""
        return self._current if edition == self._current.key else self._old(edition)

    def _load(self, edition: Edition) -> Engine:
        try:
            files = self._editions.content(edition)
        except UNREADABLE as error:
            raise Damaged(edition) from error
        if files is None:
            raise NotKept(edition)
        return engine_from(files, self._settings)

    def _wanted(self) -> Edition | None:
        """The edition in force, unless it is the current one or one already begun or rejected."""
        self._look_at = self._clock() + LOOK_SECONDS
        try:
            wanted = self._editions.current()
        except (SQLAlchemyError, OSError):
            self._look_at = self._clock() + BLIND_SECONDS
            log.warning("the edition in force could not be read; quoting continues with %s", self._current.key)
            return None
        if wanted in (None, self._current.key, self._begun):
            return None
        self._begun = wanted
        return wanted

    def _exchange(self, wanted: Edition) -> None:
        """Load an edition and replace the current one with it. Unusable tables are logged once, and the previous ones remain."""
        try:
            self._current = self._load(wanted)
        except (TableError, NotKept) as error:
            log.error("the tables in force cannot be used; the previous ones stay in use: %s", error)  # noqa: TRY400  # faults, no trace
        except (SQLAlchemyError, OSError):
            self._begun = None
            log.warning("the tables in force could not be read; quoting continues with %s", self._current.key)

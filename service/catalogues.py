"""The tables a process quotes with: those in force, exchanged without a restart, and those of old quotes, loaded from the database.

The database names the edition in force. A process looks there at most once a second, when a request comes (one row by its key); where the
edition is another it is loaded beside the work, in a thread, and then takes the place of the one before in one step. A request keeps the
tables it began with.
"""

from __future__ import annotations

import gzip
import logging
import tempfile
import threading
import time
import zlib
from collections.abc import Callable, Mapping
from functools import lru_cache
from pathlib import Path

from sqlalchemy.exc import SQLAlchemyError

from pricing.errors import TableError
from service.engine import Engine, engine_of
from service.settings import Settings
from service.storage import Edition, Editions

LOOK_SECONDS = 1.0
BLIND_SECONDS = 15.0  # until the next look where the database did not answer: a look may then take seconds
OLD_EDITIONS = 4
DAMAGED = (gzip.BadGzipFile, zlib.error, EOFError, ValueError)  # what unpacking and reading say of bytes that are no edition
log = logging.getLogger("service")


class NotKept(LookupError):
    """The tables of an old quote are not in the database: they were in use before it kept them."""

    def __init__(self, edition: Edition) -> None:
        super().__init__(f"The tables {edition.catalogue} with prices {edition.prices} are not kept in this database.")


def files_of(folder: Path) -> dict[str, str]:
    """The tables of a folder as text, name to content."""
    return {path.name: path.read_bytes().decode("utf-8-sig") for path in sorted(folder.glob("*.csv"))}


def engine_from(files: Mapping[str, str], settings: Settings) -> Engine:
    """An engine over tables given as text. Raises TableError."""
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
        """The engine of the tables in force, as far as this process knows."""
        if self._clock() >= self._look_at and self._looking.acquire(blocking=False):
            try:
                wanted = self._wanted()
            finally:
                self._looking.release()
            if wanted is not None:
                threading.Thread(target=self._exchange, args=(wanted,), name="tables").start()
        return self._current

    def refresh(self) -> None:
        """Look at once, and wait for the exchange where one is due."""
        wanted = self._wanted()
        if wanted is not None:
            self._exchange(wanted)

    def of(self, edition: Edition) -> Engine:
        """The engine of the tables that an old quote was made with. Raises NotKept, TableError."""
        return self._current if edition == self._current.key else self._old(edition)

    def _load(self, edition: Edition) -> Engine:
        files = self._editions.content(edition)
        if files is None:
            raise NotKept(edition)
        return engine_from(files, self._settings)

    def _wanted(self) -> Edition | None:
        """The edition in force if it is another than the one here and was not refused or begun already."""
        self._look_at = self._clock() + LOOK_SECONDS
        try:
            wanted = self._editions.current()
        except (SQLAlchemyError, OSError):
            self._look_at = self._clock() + BLIND_SECONDS
            log.warning("the edition in force could not be looked up; quoting goes on with %s", self._current.key)
            return None
        if wanted in (None, self._current.key, self._begun):
            return None
        self._begun = wanted
        return wanted

    def _exchange(self, wanted: Edition) -> None:
        """Load an edition and put it in place of the one before. Tables that cannot be used are logged once, and the good ones stay."""
        try:
            self._current = self._load(wanted)
        except (TableError, NotKept) as error:
            log.error("the tables in force cannot be used, the ones before stay: %s", error)  # noqa: TRY400  # faults, no trace
        except DAMAGED as error:
            log.error("the tables in force are damaged in the database, the ones before stay: %s", type(error).__name__)  # noqa: TRY400
        except (SQLAlchemyError, OSError):
            self._begun = None
            log.warning("the tables in force could not be read; quoting goes on with %s", self._current.key)

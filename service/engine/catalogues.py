"""The tables a process quotes with: those in force, replaced without a restart, and those of old quotes, loaded from the database.

The database names the edition in force on a day of the shop. A process checks today's and tomorrow's at most once a second, when a
request arrives (a row each, by an index). If today's has changed, it is loaded in a background thread and then replaces the previous
one in a single step; tomorrow's is loaded beforehand and takes its place with the first request of that day, so that nothing is quoted
on a day with the tables of the day before. A request keeps the tables it began with.
"""

from __future__ import annotations

import logging
import tempfile
import threading
import time
from collections.abc import Callable, Mapping
from datetime import date, timedelta
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
        self._day = first.today()
        self._coming: tuple[date, Engine] | None = None  # loaded, and from which day on it counts
        self._begun_coming: tuple[date, Edition] | None = None
        self._looking = threading.Lock()
        self._old = lru_cache(maxsize=OLD_EDITIONS)(self._load)

    def current(self) -> Engine:
        """The engine with the tables in force, as far as this process knows. The first requests of a day wait until it is that day's."""
        today = self._current.today()
        if today != self._day:
            self._turn(today)
        if self._clock() >= self._look_at and self._looking.acquire(blocking=False):
            try:
                wanted, ahead = self._wanted()
            finally:
                self._looking.release()
            if wanted is not None or ahead is not None:
                threading.Thread(target=self._load_both, args=(wanted, ahead), name="tables").start()
        return self._current

    def of_today(self) -> tuple[Engine, date]:
        """The engine with the tables in force, and the day for which they are."""
        while True:
            day = self._current.today()
            found = self.current()
            if found.today() == day:  # else a day has ended meanwhile
                return found, day

    def _turn(self, today: date) -> None:
        with self._looking:
            if today == self._day:
                return
            coming = self._coming
            if coming is not None and coming[0] == today:
                self._current, self._coming = coming[1], None
            else:  # no request came yesterday to load it beforehand
                self._begun_coming = None
                wanted, _ = self._wanted()
                if wanted is not None:
                    self._exchange(wanted)
                self._begun_coming = None
            self._day = today

    def refresh(self) -> None:
        """Check at once, and load a new edition synchronously if there is one."""
        self._load_both(*self._wanted())

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

    def _wanted(self) -> tuple[Edition | None, tuple[date, Edition] | None]:
        """The edition in force, and the next day's with that day; None for the current one, and for one already begun or rejected."""
        self._look_at = self._clock() + LOOK_SECONDS
        today = self._current.today()
        try:
            wanted, following = self._editions.near(today)
        except (SQLAlchemyError, OSError):
            self._look_at = self._clock() + BLIND_SECONDS
            log.warning("the edition in force could not be read; quoting continues with %s", self._current.key)
            return None, None
        ahead = None if following in (None, wanted) else (today + timedelta(1), following)
        coming = self._coming
        if coming is not None and (ahead is None or ahead[1] != coming[1].key) and coming[0] > today:
            self._coming = self._begun_coming = None  # what was to come was taken back
        if ahead == self._begun_coming:
            ahead = None
        elif ahead is not None:
            self._begun_coming = ahead
        if wanted == self._current.key:
            self._begun = None  # so that what was taken back can be put in force again
        if wanted in (None, self._current.key, self._begun):
            return None, ahead
        self._begun = wanted
        return wanted, ahead

    def _load_both(self, wanted: Edition | None, ahead: tuple[date, Edition] | None) -> None:
        if wanted is not None:
            self._exchange(wanted)
        if ahead is not None:
            self._prepare(*ahead)

    def _prepare(self, day: date, edition: Edition) -> None:
        """Load the next day's edition. If that fails, the day itself tries again and says why."""
        try:
            self._coming = day, self.of(edition)
        except (TableError, NotKept, SQLAlchemyError, OSError) as error:
            log.warning("the tables that are to count from %s could not be loaded beforehand: %s", day, error)

    def _exchange(self, wanted: Edition) -> None:
        """Load an edition and replace the current one with it. Unusable tables are logged once, and the previous ones remain."""
        try:
            self._current = self._load(wanted)
        except (TableError, NotKept) as error:
            log.error("the tables in force cannot be used; the previous ones stay in use: %s", error)  # noqa: TRY400  # faults, no trace
        except (SQLAlchemyError, OSError):
            self._begun = None
            log.warning("the tables in force could not be read; quoting continues with %s", self._current.key)

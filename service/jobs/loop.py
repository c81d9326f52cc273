"""What one worker of batches does all day: chunks while there are any, chores now and then, and otherwise it waits for the bell. Messages to
webhooks are delivered meanwhile, in threads beside it.
"""

from __future__ import annotations

import logging
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager

from sqlalchemy.exc import SQLAlchemyError

from service.catalogues import Catalogues
from service.engine import Engine
from service.hooks.courier import Courier, Sender
from service.jobs.bell import Bell
from service.jobs.working import Workshop
from service.settings import Settings
from service.storage import Batches, Editions, Expiries, Messages, Quotes
from service.storage.troubles import server_words

LOOK_SECONDS = 5.0  # between looks at the database without a ring
PRUNE_SECONDS = 3600.0
TROUBLE_SECONDS = 2.0  # after a failure of the database
log = logging.getLogger("service")


def work(settings: Settings, engine: Engine, stop: Callable[[], bool]) -> None:
    """Work until `stop`. What fails is logged, and tried again."""
    store = Quotes(settings.database_url, 2)
    catalogues = Catalogues(settings, Editions(store), engine)
    workshop = Workshop(store, catalogues, settings.batch_lease)
    bell = Bell(settings)
    look = min(LOOK_SECONDS, settings.batch_lease / 2)
    chores = _Chores(workshop, Batches(store), Expiries(store, lambda: catalogues.current().today()), Messages(store, 0), look)
    with _delivering(settings):
        while not stop():
            try:
                chores.do()
                if not workshop.work_one(stop):
                    _wait(bell, look, stop)
            except (SQLAlchemyError, OSError) as error:
                log.warning("a worker of batches waits for the database: %s: %s", type(error).__name__, _said(error))
                time.sleep(TROUBLE_SECONDS)
    store.close()


class _Chores:
    """What is done now and then, by every worker: each of them can be done by several at once."""

    def __init__(self, workshop: Workshop, batches: Batches, expiries: Expiries, messages: Messages, look: float) -> None:
        self._workshop, self._batches, self._expiries, self._messages, self._look = workshop, batches, expiries, messages, look
        self._at = self._prune_at = 0.0

    def do(self) -> None:
        """What is due. Raises SQLAlchemyError."""
        now = time.monotonic()
        if now < self._at:
            return
        self._at = now + self._look
        self._workshop.chunks.finish_all()
        self._batches.drop_forsaken()
        self._expiries.tell()
        if now >= self._prune_at:
            self._prune_at = now + PRUNE_SECONDS
            self._messages.prune()


@contextmanager
def _delivering(settings: Settings) -> Iterator[None]:
    """A courier at work, with connections of its own: a receiver that is slow keeps none of them."""
    with closing(Quotes(settings.database_url, 4)) as store:
        sender = Sender(settings.webhook_seconds, private=settings.webhook_private)
        courier = Courier(store, sender, settings.webhook_seconds + settings.batch_lease)
        courier.begin()
        try:
            yield
        finally:
            courier.close()


def _said(error: SQLAlchemyError | OSError) -> str:
    return server_words(error) if isinstance(error, SQLAlchemyError) else str(error)


def _wait(bell: Bell, seconds: float, stop: Callable[[], bool]) -> None:
    """In short pieces, so that it is seen soon when to stop."""
    until = time.monotonic() + seconds
    while not stop() and (left := until - time.monotonic()) > 0:
        if bell.wait(min(left, 1.0)):
            return

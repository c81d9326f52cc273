"""The main loop of a batch worker: it processes chunks while there are any, runs periodic chores, and otherwise waits for the bell.
Webhook messages are delivered meanwhile by threads of the same process.
"""

from __future__ import annotations

import logging
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager

from sqlalchemy.exc import SQLAlchemyError

from service.batches.process_chunk import ChunkProcessor
from service.batches.wakeup import Bell
from service.engine.catalogues import Catalogues
from service.engine.engine import Engine
from service.settings import Settings
from service.storage import Batches, Editions, Endpoints, Expiries, Messages, Quotes
from service.storage.errors import server_words
from service.webhooks.delivery import Courier, Sender

LOOK_SECONDS = 5.0  # between checks of the database without a ring
PRUNE_SECONDS = 3600.0
TROUBLE_SECONDS = 2.0  # after a database failure
log = logging.getLogger("service")


def work(settings: Settings, engine: Engine, stop: Callable[[], bool]) -> None:
    """Work until `stop` returns true. Failures are logged and retried."""
    store = Quotes(settings.database_url, 2)
    catalogues = Catalogues(settings, Editions(store), engine)
    processor = ChunkProcessor(store, catalogues, settings.batch_lease_seconds)
    bell = Bell(settings)
    look = min(LOOK_SECONDS, settings.batch_lease_seconds / 2)
    chores = _Chores(processor, Batches(store), Expiries(store, lambda: catalogues.current().today()), Messages(store, 0), look)
    with _delivering(settings):
        while not stop():
            try:
                chores.do()
                if not processor.work_one(stop):
                    _wait(bell, look, stop)
            except (SQLAlchemyError, OSError) as error:
                log.warning("a batch worker is waiting for the database: %s: %s", type(error).__name__, _failure_text(error))
                time.sleep(TROUBLE_SECONDS)
    store.close()


class _Chores:
    """Periodic tasks, run by every worker: all of them may safely run in several at once."""

    def __init__(self, processor: ChunkProcessor, batches: Batches, expiries: Expiries, messages: Messages, look: float) -> None:
        self._processor, self._batches, self._expiries, self._messages, self._look = processor, batches, expiries, messages, look
        self._at = self._prune_at = 0.0

    def do(self) -> None:
        """Run the tasks that are due. Raises SQLAlchemyError."""
        now = time.monotonic()
        if now < self._at:
            return
        self._at = now + self._look
        self._processor.chunks.finish_all()
        self._batches.drop_unfinished()
        self._expiries.report()
        if now >= self._prune_at:
            self._prune_at = now + PRUNE_SECONDS
            self._messages.prune()


@contextmanager
def _delivering(settings: Settings) -> Iterator[None]:
    """Run a courier with database connections of its own, so that a slow receiver does not occupy those of the worker."""
    with closing(Quotes(settings.database_url, 4)) as store:
        sender = Sender(settings.webhook_seconds, private=settings.webhook_private)
        courier = Courier(Endpoints(store), Messages(store, settings.webhook_seconds + settings.batch_lease_seconds), sender)
        courier.begin()
        try:
            yield
        finally:
            courier.close()


def _failure_text(error: SQLAlchemyError | OSError) -> str:
    return server_words(error) if isinstance(error, SQLAlchemyError) else str(error)


def _wait(bell: Bell, seconds: float, stop: Callable[[], bool]) -> None:
    """Wait in short steps, so that a request to stop is noticed soon."""
    until = time.monotonic() + seconds
    while not stop() and (left := until - time.monotonic()) > 0:
        if bell.wait(min(left, 1.0)):
            return

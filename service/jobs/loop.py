"""What one worker of batches does all day: chunks while there are any, chores now and then, and otherwise it waits for the bell."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable

from sqlalchemy.exc import SQLAlchemyError

from service.catalogues import Catalogues
from service.engine import Engine
from service.jobs.bell import Bell
from service.jobs.working import Workshop
from service.settings import Settings
from service.storage import Batches, Editions, Quotes
from service.storage.troubles import server_words

LOOK_SECONDS = 5.0  # between looks at the database without a ring
TROUBLE_SECONDS = 2.0  # after a failure of the database
log = logging.getLogger("service")


def work(settings: Settings, engine: Engine, stop: Callable[[], bool]) -> None:
    """Work until `stop`. What fails is logged, and tried again."""
    store = Quotes(settings.database_url, 2)
    workshop = Workshop(store, Catalogues(settings, Editions(store), engine), settings.batch_lease)
    batches, bell = Batches(store), Bell(settings)
    look = min(LOOK_SECONDS, settings.batch_lease / 2)
    chores_at = 0.0
    while not stop():
        try:
            if time.monotonic() >= chores_at:
                chores_at = time.monotonic() + look
                workshop.chunks.finish_all()
                batches.drop_forsaken()
            if not workshop.work_one(stop):
                _wait(bell, look, stop)
        except (SQLAlchemyError, OSError) as error:
            log.warning("a worker of batches waits for the database: %s: %s", type(error).__name__, _said(error))
            time.sleep(TROUBLE_SECONDS)
    store.close()


def _said(error: SQLAlchemyError | OSError) -> str:
    return server_words(error) if isinstance(error, SQLAlchemyError) else str(error)


def _wait(bell: Bell, seconds: float, stop: Callable[[], bool]) -> None:
    """In short pieces, so that it is seen soon when to stop."""
    until = time.monotonic() + seconds
    while not stop() and (left := until - time.monotonic()) > 0:
        if bell.wait(min(left, 1.0)):
            return

"""`python -m service work`: run only batch workers, for additional machines beside the one that serves."""

from __future__ import annotations

import signal
import sys
import threading
from contextlib import closing

from service.cli.out import say
from service.engine.engine import open_engine
from service.settings import Settings


def work(settings: Settings) -> int:
    """Work until stopped. Raises SQLAlchemyError, OSError, WrongSchema for a database that cannot be used."""
    from service.batches import worker
    from service.batches.processes import WorkerPool
    from service.observability import log
    from service.storage import Quotes

    log.begin(settings.chosen_log_format)
    engine = open_engine(settings)
    with closing(Quotes(settings.database_url, 1)) as once:
        once.ready()
    stopping = threading.Event()
    for each in (signal.SIGTERM, signal.SIGINT):
        signal.signal(each, lambda *_: stopping.set())
    pool = WorkerPool(max(settings.batch_workers, 1), lambda stop: worker.work(settings, engine, stop))
    say(f"{pool.size} batch worker(s) at work; stop with SIGTERM.")
    while not stopping.is_set():
        pool.keep()
        stopping.wait(1.0)
    pool.stop()
    sys.stdout.flush()
    return 0

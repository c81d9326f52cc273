"""`python -m service work`: workers of batches alone, for more machines beside the one that serves."""

from __future__ import annotations

import signal
import sys
import threading
from contextlib import closing

from service.commands.out import say
from service.engine import open_engine
from service.settings import Settings


def work(settings: Settings) -> int:
    """Work until stopped. Raises SQLAlchemyError, OSError, WrongSchema for a database that cannot be used."""
    from service.jobs import loop
    from service.jobs.crew import Crew
    from service.storage import Quotes
    from service.watch import journal

    journal.begin(settings.log_form)
    engine = open_engine(settings)
    with closing(Quotes(settings.database_url, 1)) as once:
        once.ready()
    stopping = threading.Event()
    for each in (signal.SIGTERM, signal.SIGINT):
        signal.signal(each, lambda *_: stopping.set())
    crew = Crew(max(settings.batch_workers, 1), lambda stop: loop.work(settings, engine, stop))
    say(f"{crew.size} worker(s) of batches; end with SIGTERM.")
    while not stopping.is_set():
        crew.keep()
        stopping.wait(1.0)
    crew.stop()
    sys.stdout.flush()
    return 0

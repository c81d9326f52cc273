"""Boats of several sizes at a service of this process, for the benchmarks of what packing costs."""

from __future__ import annotations

import json
import tempfile
import time
from collections.abc import Callable
from datetime import date
from typing import Any

from service.app import create_app
from service.demo import demo_names, demo_request
from service.engine.engine import open_engine
from service.settings import Settings
from service.storage import Quotes, migrate

KEY = "a-key-for-benchmarks"
COUNTS = (1, 12, 60)


def taken(run: Callable[[], object]) -> float:
    """Processor time of a run in ms: others on the machine change it less than the clock."""
    begun = time.process_time()
    run()
    return 1000 * (time.process_time() - begun)


def each_boat(measured: Callable[[Any, dict[str, object], int, int], None], rounds: int) -> None:
    """Call `measured` with a client, a request of so many wires, that number, and the rounds (WSGI, one process, SQLite in a file)."""
    with tempfile.TemporaryDirectory() as folder:
        settings = Settings(today=date(2026, 11, 25), demo_key=KEY, database_url=f"sqlite:///{folder}/quotes.sqlite3")
        store = Quotes(settings.database_url)
        migrate(store.engine())
        client = create_app(settings, open_engine(settings), store).test_client()
        client.environ_base["HTTP_AUTHORIZATION"] = f"Bearer {KEY}"
        asked = json.loads(demo_request(demo_names()[0]))
        for count in COUNTS:
            request = {**asked, "assemblies": [{**asked["assemblies"][at % 12], "tag": f"A-{at}"} for at in range(count)]}
            measured(client, request, count, rounds)
        store.close()

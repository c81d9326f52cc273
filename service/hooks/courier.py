"""Delivering messages, in threads of its own beside the work on batches: a few for each endpoint, so that one that is slow holds up nobody else."""

from __future__ import annotations

import logging
import ssl
import threading
import time
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import cached_property
from typing import NamedTuple

from sqlalchemy.exc import SQLAlchemyError

from service.hooks import schedule
from service.hooks.sending import NotSent, Reply, post
from service.hooks.signing import headers
from service.hooks.target import Lookup, NoTarget, resolved, target_of
from service.storage import Endpoint, Endpoints, Held, Messages
from service.storage.database import Database
from service.watch.measures import Deliveries

LANES = 4  # messages under way to one endpoint, for each worker
MOST_ENDPOINTS = 16
LOOK_SECONDS, IDLE_SECONDS, TROUBLE_SECONDS = 0.5, 2.0, 2.0
CLOSE_SECONDS = 8.0
GONE = 410
log = logging.getLogger("service")


class Came(NamedTuple):
    """What came of an attempt: `status` where there was a reply, and words for those who look after it."""

    status: int | None
    words: str
    wait: float | None = None

    @property
    def arrived(self) -> bool:
        """Whether the receiver took it."""
        return self.status is not None and 200 <= self.status < 300


class Sender:
    """Sends one message at a time. `private`, `seconds`: as the settings say; `lookup` in place of the system's resolver."""

    def __init__(self, seconds: float, *, private: bool, lookup: Lookup | None = None) -> None:
        self.seconds, self._private, self._lookup = seconds, private, lookup

    @cached_property
    def _context(self) -> ssl.SSLContext:
        return ssl.create_default_context()

    def check(self, url: str) -> None:
        """Whether an address can be sent to at all. Raises NoTarget."""
        resolved(target_of(url, private=self._private), self.seconds, private=self._private, lookup=self._lookup)

    def send(self, endpoint: Endpoint, message_id: str, body: bytes) -> Came:
        """One attempt, within the time that there is for it."""
        until = time.monotonic() + self.seconds
        try:
            target = target_of(endpoint.url, private=self._private)
            addresses = resolved(target, self.seconds, private=self._private, lookup=self._lookup)
            signed = headers(endpoint.secrets, message_id, int(time.time()), body)
            reply = post(target, addresses, signed, body, max(until - time.monotonic(), 0.1), self._context)
        except (NoTarget, NotSent) as error:
            return Came(None, str(error))
        return Came(reply.status, _words(reply), reply.wait)


def _words(reply: Reply) -> str:
    return f"{reply.status}, and redirects are not followed" if 300 <= reply.status < 400 else str(reply.status)


class Courier:
    """Delivers the messages of one database, in this process. `lease`: seconds, longer than an attempt takes."""

    def __init__(self, database: Database, sender: Sender, lease: float, clock: Callable[[], float] = time.time) -> None:
        self._endpoints, self._messages = Endpoints(database, clock), Messages(database, lease, clock)
        self._sender, self._clock = sender, clock
        self._busy: Counter[str] = Counter()
        self._lock, self._freed = threading.Lock(), threading.Event()
        self._threads = ThreadPoolExecutor(MOST_ENDPOINTS * LANES, "courier")
        self._counts = Deliveries()
        self._ended, self._running = threading.Event(), threading.Thread(target=self._run, name="courier", daemon=True)

    def begin(self) -> None:
        """Deliver from now on, beside the caller, until `close`."""
        self._running.start()

    def _run(self) -> None:
        while not self._ended.is_set():
            try:
                pause = LOOK_SECONDS if self.look() else IDLE_SECONDS
            except (SQLAlchemyError, OSError) as error:
                log.warning("the delivery of messages waits for the database: %s", type(error).__name__)
                pause = TROUBLE_SECONDS
            self._freed.wait(pause)
            self._freed.clear()

    def look(self) -> bool:
        """Take up what is due, as far as there are lanes; False where there is no endpoint."""
        live = self._endpoints.live()
        for endpoint in live:
            free = LANES - self._busy[endpoint.id]
            for held in self._messages.claim(endpoint.id, free) if free > 0 else ():
                with self._lock:
                    self._busy[endpoint.id] += 1
                self._threads.submit(self._deliver, endpoint, held)
        return bool(live)

    def close(self) -> None:
        """Take up nothing more, and wait a while for what is under way; its lease lapses otherwise."""
        until = time.monotonic() + CLOSE_SECONDS
        self._ended.set()
        self._freed.set()
        if self._running.is_alive():
            self._running.join(CLOSE_SECONDS)
        while time.monotonic() < until and any(self._busy.values()):
            time.sleep(0.05)
        self._threads.shutdown(wait=False, cancel_futures=True)

    def _deliver(self, endpoint: Endpoint, held: Held) -> None:
        try:
            began = time.monotonic()
            came = self._sender.send(endpoint, held.id, held.body)
            outcome = self._note(held, came)
            self._tell(held, came, outcome, time.monotonic() - began)
        except Exception:
            log.exception("a message could not be delivered; its lease lapses by itself")
        finally:
            with self._lock:
                self._busy[endpoint.id] -= 1
            self._freed.set()

    def _note(self, held: Held, came: Came) -> str:
        if came.arrived:
            self._messages.delivered(held, came.words)
            return "delivered"
        if came.status == GONE:
            self._messages.gone(held, "410: the receiver wants no more messages")
            return "gone"
        wait = schedule.delay(held.attempt, came.wait)
        self._messages.failed(held, came.words, None if wait is None else self._clock() + wait)
        return "dead" if wait is None else "again"

    def _tell(self, held: Held, came: Came, outcome: str, seconds: float) -> None:
        figures = {
            "endpoint": held.endpoint_id,
            "event": held.event,
            "attempt": held.attempt,
            "outcome": outcome,
            "status": came.status,
            "ms": round(1000 * seconds, 1),
        }
        log.info("webhook" if came.arrived else f"webhook: {came.words}", extra=figures)
        self._counts.tried(held.event, outcome, seconds)

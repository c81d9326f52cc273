"""Delivers messages in threads beside the batch processing: a few per endpoint, so that a slow one does not hold up the others."""

from __future__ import annotations

import logging
import ssl
import threading
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from functools import cached_property
from typing import NamedTuple

from sqlalchemy.exc import SQLAlchemyError

from service.observability.metrics import Deliveries
from service.storage import ClaimedMessage, Endpoint, Endpoints, Messages
from service.webhooks import schedule
from service.webhooks.attempt import NotSent, Reply, post
from service.webhooks.signing import headers
from service.webhooks.target import Lookup, NoTarget, resolved, target_of

LANES = 4  # messages in flight per endpoint and worker
MOST_ENDPOINTS = 16
LOOK_SECONDS, IDLE_SECONDS, TROUBLE_SECONDS = 0.5, 2.0, 2.0
CLOSE_SECONDS = 8.0
GONE = 410
log = logging.getLogger("service")


class AttemptResult(NamedTuple):
    """The result of a delivery attempt: the response's `status`, if there was one, an explanation for operators, and the seconds that the
    receiver asks to wait.
    """

    status: int | None
    words: str
    wait: float | None = None

    @property
    def arrived(self) -> bool:
        """Whether the receiver accepted the message."""
        return self.status is not None and 200 <= self.status < 300


class Sender:
    """Sends one message at a time. `private`, `seconds`: from the settings; `lookup` replaces the system's resolver."""

    def __init__(self, seconds: float, *, private: bool, lookup: Lookup | None = None) -> None:
        self.seconds, self._private, self._lookup = seconds, private, lookup

    @cached_property
    def _context(self) -> ssl.SSLContext:
        return ssl.create_default_context()

    def check(self, url: str) -> None:
        """Check that messages can be sent to an address at all. Raises NoTarget."""
        resolved(target_of(url, private=self._private), self.seconds, private=self._private, lookup=self._lookup)

    def send(self, endpoint: Endpoint, message_id: str, body: bytes) -> AttemptResult:
        """Make one attempt, within its time limit."""
        until = time.monotonic() + self.seconds
        try:
            target = target_of(endpoint.url, private=self._private)
            addresses = resolved(target, self.seconds, private=self._private, lookup=self._lookup)
            signed = headers(endpoint.secrets, message_id, int(time.time()), body)
            reply = post(target, addresses, signed, body, max(until - time.monotonic(), 0.1), self._context)
        except (NoTarget, NotSent) as error:
            return AttemptResult(None, str(error))
        return AttemptResult(reply.status, _words(reply), reply.wait)


def _words(reply: Reply) -> str:
    return f"{reply.status}, and redirects are not followed" if 300 <= reply.status < 400 else str(reply.status)


class Courier:
    """Delivers the messages of one database in this process."""

    def __init__(self, endpoints: Endpoints, messages: Messages, sender: Sender) -> None:
        self._endpoints, self._messages, self._sender = endpoints, messages, sender
        self._busy: Counter[str] = Counter()
        self._lock, self._freed = threading.Lock(), threading.Event()
        self._threads = ThreadPoolExecutor(MOST_ENDPOINTS * LANES, "courier")
        self._counts = Deliveries()
        self._ended, self._running = threading.Event(), threading.Thread(target=self._run, name="courier", daemon=True)

    def begin(self) -> None:
        """Deliver in the background until `close`."""
        self._running.start()

    def _run(self) -> None:
        while not self._ended.is_set():
            try:
                pause = LOOK_SECONDS if self.look() else IDLE_SECONDS
            except (SQLAlchemyError, OSError) as error:
                log.warning("the delivery of messages is waiting for the database: %s", type(error).__name__)
                pause = TROUBLE_SECONDS
            except Exception:  # for example if no thread can be started: messages wait, and delivery goes on
                log.exception("the delivery of messages failed and will be retried")
                pause = TROUBLE_SECONDS
            self._freed.wait(pause)
            self._freed.clear()

    def look(self) -> bool:
        """Start delivering what is due, as far as there are free lanes; False if there is no endpoint."""
        live = self._endpoints.live()
        if live:
            self._messages.free()
        for endpoint in live:
            free = LANES - self._busy[endpoint.id]
            for message in self._messages.claim(endpoint.id, free) if free > 0 else ():
                with self._lock:
                    self._busy[endpoint.id] += 1
                try:
                    self._threads.submit(self._deliver, endpoint, message)
                except RuntimeError:
                    with self._lock:
                        self._busy[endpoint.id] -= 1
                    raise
        return bool(live)

    def close(self) -> None:
        """Start nothing more, and wait a while for messages in flight; otherwise their leases run out."""
        until = time.monotonic() + CLOSE_SECONDS
        self._ended.set()
        self._freed.set()
        if self._running.is_alive():
            self._running.join(CLOSE_SECONDS)
        while time.monotonic() < until and any(self._busy.values()):
            time.sleep(0.05)
        self._threads.shutdown(wait=False, cancel_futures=True)

    def _deliver(self, endpoint: Endpoint, message: ClaimedMessage) -> None:
        try:
            began = time.monotonic()
            result = self._sender.send(endpoint, message.id, message.body)
            outcome = self._note(message, result)
            self._record(message, result, outcome, time.monotonic() - began)
        except Exception:
            log.exception("a message could not be delivered; its lease expires by itself")
        finally:
            with self._lock:
                self._busy[endpoint.id] -= 1
            self._freed.set()

    def _note(self, message: ClaimedMessage, result: AttemptResult) -> str:
        if result.arrived:
            self._messages.delivered(message, result.words)
            return "delivered"
        if result.status == GONE:
            self._messages.receiver_gone(message, "410: the receiver wants no more messages")
            return "gone"
        wait = schedule.delay(message.attempt, result.wait)
        self._messages.failed(message, result.words, wait)
        return "dead" if wait is None else "again"

    def _record(self, message: ClaimedMessage, result: AttemptResult, outcome: str, seconds: float) -> None:
        figures = {
            "endpoint": message.endpoint_id,
            "event": message.event,
            "attempt": message.attempt,
            "outcome": outcome,
            "status": result.status,
            "ms": round(1000 * seconds, 1),
        }
        log.info("webhook" if result.arrived else f"webhook: {result.words}", extra=figures)
        self._counts.tried(message.event, outcome, seconds)

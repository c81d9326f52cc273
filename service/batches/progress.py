"""Batch progress as server-sent events (HTML Living Standard, 9.2), for few clients at a time: each occupies a thread of the server."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator

from sqlalchemy.exc import SQLAlchemyError

from service.encoding import json
from service.storage import Progress

LOOK_SECONDS = 0.5
HEARTBEAT_SECONDS = 10.0
MOST_SECONDS = 600.0  # then the client reconnects, sending the id of its last event


class Followers:
    """The clients following batches in this process, `most` at a time. Setting `closing` disconnects them all."""

    def __init__(self, most: int) -> None:
        self._places = threading.BoundedSemaphore(most)
        self.closing = threading.Event()

    def admit(self) -> bool:
        """Take a place; False if all are taken."""
        return self._places.acquire(blocking=False)

    def leaving(self) -> Callable[[], None]:
        """A function that releases one admitted client's place, once, however often it is called."""
        left = threading.Lock()

        def leave() -> None:
            if left.acquire(blocking=False):
                self._places.release()

        return leave

    def stream(self, look: Callable[[], Progress | None], seen: str | None, leave: Callable[[], None]) -> Iterator[bytes]:
        """The events for an admitted client, until the batch has ended; `seen` is the id of the last event it has received."""
        try:
            yield b"retry: 2000\n\n"
            yield from self._events(look, seen)
        finally:
            leave()

    def _events(self, look: Callable[[], Progress | None], seen: str | None) -> Iterator[bytes]:
        started = beaten = time.monotonic()
        while time.monotonic() < started + MOST_SECONDS:
            try:
                now = look()
            except SQLAlchemyError:  # the database may respond at the next poll; the batch itself is not affected
                yield b": the database does not answer at this moment\n\n"
                if self.closing.wait(HEARTBEAT_SECONDS / 5):
                    return
                continue
            if now is None:
                return
            if event_id(now) != seen:
                seen, beaten = event_id(now), time.monotonic()
                yield event(now)
            elif time.monotonic() > beaten + HEARTBEAT_SECONDS:
                beaten = time.monotonic()
                yield b": still here\n\n"
            if now.ended or self.closing.wait(LOOK_SECONDS):
                return


def event_id(progress: Progress) -> str:
    """Identifies an event: the number of processed lines, and the status, or that the batch is stalled."""
    return f"{progress.succeeded + progress.failed}-{'stalled' if progress.stalled else progress.status}"


def event(progress: Progress) -> bytes:
    """One event: `progress`, and at the end `completed` or `cancelled`."""
    name = progress.status if progress.ended else "progress"
    return f"id: {event_id(progress)}\nevent: {name}\ndata: ".encode() + json.write(progress.document()) + b"\n\n"

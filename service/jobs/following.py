"""Progress as Server-Sent Events (HTML Living Standard, 9.2), for few at a time: each holds a thread of the server."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator

from sqlalchemy.exc import SQLAlchemyError

from service import json
from service.storage import Progress

LOOK_SECONDS = 0.5
HEARTBEAT_SECONDS = 10.0
MOST_SECONDS = 600.0  # then the client connects again, and tells where it was


class Followers:
    """Those who follow in this process; `most` at a time. `closing` ends them all."""

    def __init__(self, most: int) -> None:
        self._places = threading.BoundedSemaphore(most)
        self.closing = threading.Event()

    def admit(self) -> bool:
        """Take a place; False where all are taken."""
        return self._places.acquire(blocking=False)

    def stream(self, look: Callable[[], Progress | None], seen: str | None) -> Iterator[bytes]:
        """The events of a follower who was admitted, until the batch has ended; `seen` is the id of the last event that the client has."""
        try:
            yield b"retry: 2000\n\n"
            yield from self._events(look, seen)
        finally:
            self._places.release()

    def _events(self, look: Callable[[], Progress | None], seen: str | None) -> Iterator[bytes]:
        started = beaten = time.monotonic()
        while time.monotonic() < started + MOST_SECONDS:
            try:
                now = look()
            except SQLAlchemyError:  # it may be back at the next look; what is worked on meanwhile is not lost
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
    """What tells two events apart: how many lines are through, and the state, or that nothing comes any more."""
    return f"{progress.done + progress.failed}-{'stalled' if progress.stalled else progress.state}"


def event(progress: Progress) -> bytes:
    """One event: `progress`, and at the end `done` or `cancelled`."""
    name = progress.state if progress.ended else "progress"
    return f"id: {event_id(progress)}\nevent: {name}\ndata: ".encode() + json.write(progress.document()) + b"\n\n"

"""Renews claims for as long as the work they stand for goes on."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable, Hashable, Iterator
from contextlib import contextmanager

from sqlalchemy.exc import SQLAlchemyError

log = logging.getLogger("service")


class Renewal:
    """Calls `renew` for each held claim every `seconds` or a little later, from a single thread.

    The thread starts with the first claim and ends once there has been none for that long, so a process about to fork does not have it yet.
    Most requests finish before their first renewal and cost only a dictionary entry.
    """

    def __init__(self, renew: Callable[..., None], seconds: float) -> None:
        self._renew, self._seconds = renew, seconds
        self._held: dict[tuple[Hashable, ...], float] = {}
        self._guard, self._at_work = threading.Lock(), False

    @contextmanager
    def of(self, *claim: Hashable) -> Iterator[None]:
        """Renew a claim inside this block; its parts are passed to `renew`."""
        with self._guard:
            self._held[claim] = time.monotonic()
            begin, self._at_work = not self._at_work, True
        if begin:
            threading.Thread(target=self._run, name="renewal", daemon=True).start()
        try:
            yield
        finally:
            with self._guard:
                del self._held[claim]

    def _run(self) -> None:
        while self._goes_on():
            time.sleep(self._seconds)
            began = time.monotonic() - self._seconds
            with self._guard:
                due = [claim for claim, since in self._held.items() if since <= began]
            for claim in due:
                try:
                    self._renew(*claim)
                except SQLAlchemyError:
                    log.warning("a claim could not be renewed; it expires unless the next attempt succeeds")

    def _goes_on(self) -> bool:
        with self._guard:
            self._at_work = bool(self._held)
            return self._at_work

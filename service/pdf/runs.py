"""Many PDFs in a row, beside the requests: what is asked for twice is run once. Each goes through the press, which serves others between them."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable, Iterable
from concurrent.futures import Future

from service.documents.pdf import NoPdf
from service.pdf.press import Busy, NotMade

_BUSY_SECONDS = 0.5
log = logging.getLogger("service")


class Runs:
    """The runs of one process. Their threads hold up no end of it: what is made is kept, and the rest is made when it is asked for again."""

    def __init__(self, most: int = 2) -> None:
        self._most, self._lock = most, threading.Lock()
        self._begun: dict[str, Future[None]] = {}

    def begin(self, key: str, orders: Callable[[], Iterable[Callable[[], Future[bytes]]]]) -> Future[None]:
        """The run of that key, begun if there is none; ends when every order is made. Raises Busy where as many run as may.

        Its result raises NoPdf or NotMade of the first order that fails.
        """
        with self._lock:
            if key in self._begun:
                return self._begun[key]
            if len(self._begun) >= self._most:
                raise Busy
            future = self._begun[key] = Future()
        threading.Thread(target=self._run, args=(key, orders, future), name="pdf run", daemon=True).start()
        return future

    def _run(self, key: str, orders: Callable[[], Iterable[Callable[[], Future[bytes]]]], future: Future[None]) -> None:
        failed: Exception | None = None
        try:
            for order in orders():
                _ordered(order).result()
        except (NoPdf, NotMade) as error:
            failed = error
        except Exception:
            log.exception("a run of PDFs broke off")
            failed = NotMade("The PDFs could not be made; the failure was recorded.")
        with self._lock:
            del self._begun[key]
        if failed is None:
            future.set_result(None)
        else:
            future.set_exception(failed)


def _ordered(order: Callable[[], Future[bytes]]) -> Future[bytes]:
    """Once the press takes it."""
    while True:
        try:
            return order()
        except Busy:
            time.sleep(_BUSY_SECONDS)

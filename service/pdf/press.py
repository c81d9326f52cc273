"""The press of one process: at most so many PDFs at once, so many waiting, each for so long; what is asked for twice is made once."""

from __future__ import annotations

import logging
import os
import subprocess
import sys
import threading
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path

from service.documents.pdf import NoPdf
from service.pdf.child import NO_PDF

ROOT = Path(__file__).parents[2]
COMMAND = (sys.executable, "-m", "service.pdf.child")
EPOCH = (
    "0"  # what stands in a PDF's fonts for the moment of making, so that equal pages give equal bytes (reproducible-builds.org's variable)
)
log = logging.getLogger("service")


class Busy(RuntimeError):
    """There are as many PDFs waiting as may wait."""


class NotMade(RuntimeError):
    """A PDF that could not be made, or not in time."""


class Press:
    """`at_once` PDFs at a time, `waiting` more in line; each is given up after `seconds`. Its threads begin with its first PDF, after the fork."""

    def __init__(self, at_once: int = 1, waiting: int = 16, seconds: float = 120.0, command: tuple[str, ...] = COMMAND) -> None:
        self._at_once, self._most, self._seconds, self._command = at_once, at_once + waiting, seconds, command
        self._lock = threading.Lock()
        self._ordered: dict[str, Future[bytes]] = {}
        self._pool: ThreadPoolExecutor | None = None

    def order(self, key: str, page: Callable[[], bytes], keep: Callable[[bytes], None]) -> Future[bytes]:
        """The PDF of that key, once it is made: of `page`, given to `keep` before anybody else. Raises Busy.

        Its result raises NoPdf where none can be made on this machine, NotMade where this one failed.
        """
        with self._lock:
            if key in self._ordered:
                return self._ordered[key]
            if len(self._ordered) >= self._most:
                raise Busy
            if self._pool is None:
                self._pool = ThreadPoolExecutor(self._at_once, "pdf")
            future = self._ordered[key] = self._pool.submit(self._make, page, keep)
        future.add_done_callback(lambda _: self._forget(key))
        return future

    def _forget(self, key: str) -> None:
        with self._lock:
            self._ordered.pop(key, None)

    def _make(self, page: Callable[[], bytes], keep: Callable[[bytes], None]) -> bytes:
        made = self._pressed(page())
        try:
            keep(made)
        except Exception:
            log.exception("a PDF could not be kept: it is made again when it is asked for")
        return made

    def _pressed(self, html: bytes) -> bytes:
        """Make it in a process of its own, which gets none of the service's settings."""
        environment = {name: value for name, value in os.environ.items() if not name.startswith("SERVICE_")}
        environment["SOURCE_DATE_EPOCH"] = EPOCH
        try:
            done = subprocess.run(  # noqa: S603  # this program itself
                self._command, input=html, capture_output=True, timeout=self._seconds, cwd=ROOT, env=environment, check=False
            )
        except subprocess.TimeoutExpired:
            raise NotMade(f"The PDF was not made within {self._seconds:g} seconds: ask for HTML, and print that.") from None
        if done.returncode == NO_PDF:
            raise NoPdf(done.stderr.decode(errors="replace"))
        if done.returncode or not done.stdout.startswith(b"%PDF-"):
            log.error("no PDF, exit code %s: %s", done.returncode, _where(done.stderr.decode(errors="replace")))
            raise NotMade("The PDF could not be made; the failure was recorded. Ask for HTML, and print that.")
        return done.stdout


def _where(said: str) -> str:
    """Of a traceback the places and the kind of failure: its message may quote the page."""
    lines = said.rstrip().splitlines()
    places = [each.strip() for each in lines if each.startswith('  File "')]
    return "; ".join([*places[-10:], lines[-1].partition(":")[0][:200] if lines else "nothing was said"])

"""Runs gunicorn with an application object that already exists."""

from __future__ import annotations

import errno
import socket
import sys
from collections.abc import Callable
from typing import Any

from flask import Flask
from gunicorn.app.base import BaseApplication
from gunicorn.arbiter import Arbiter

from service.batches.processes import WorkerPool
from service.computing.keeper import Keeper
from service.server.gunicorn_conf import options
from service.settings import Settings

Work = Callable[[Callable[[], bool]], None]


def taken(host: str, port: int) -> bool:
    """Whether something is already listening on the port; any other problem with the address is left for the server to report."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)  # as the server does: a port released a moment ago counts as free
        try:
            probe.bind((host, port))
        except OSError as error:
            return error.errno == errno.EADDRINUSE
    return False


class Master(Arbiter):
    """gunicorn's master; it also supervises the batch workers and the computing processes, and stops them when it stops."""

    def __init__(self, app: Server, work: Work, size: int, keeper: Keeper) -> None:
        super().__init__(app)
        self._keeper = keeper
        self._pool = WorkerPool(size, work, self._close_listeners)

    def _close_listeners(self) -> None:
        for each in self.LISTENERS:
            each.close()

    def manage_workers(self) -> None:
        """Called by gunicorn about once a second."""
        super().manage_workers()
        self._pool.keep()
        self._keeper.keep(self._close_listeners)

    def stop(self, graceful: bool = True) -> None:
        """Called by gunicorn on shutdown."""
        self._pool.ask()
        super().stop(graceful)
        self._pool.stop()
        self._keeper.end()  # only once the last request has been answered


class Server(BaseApplication):
    """Serves `app` with the settings' options; `run()` returns by leaving the process. `work`: what a batch worker runs; `keeper`:
    supervises the computing processes."""

    def __init__(self, app: Flask, settings: Settings, work: Work, keeper: Keeper) -> None:
        self._app, self._options, self._work, self._pool, self._keeper = app, options(settings), work, settings.batch_workers, keeper
        super().__init__()

    def run(self) -> None:
        """Run the server."""
        try:
            Master(self, self._work, self._pool, self._keeper).run()
        except RuntimeError as error:  # as gunicorn does for an address that it cannot bind
            sys.stderr.write(f"\nError: {error}\n\n")
            sys.exit(1)

    def load_config(self) -> None:
        """Called by gunicorn."""
        for name, value in self._options.items():
            self.cfg.set(name, value)

    def load(self) -> Any:
        """Called by gunicorn, in the process that forks the workers."""
        return self._app

"""gunicorn around an application that is already made."""

from __future__ import annotations

import errno
import socket
import sys
from collections.abc import Callable
from typing import Any

from flask import Flask
from gunicorn.app.base import BaseApplication
from gunicorn.arbiter import Arbiter

from service.gunicorn_conf import options
from service.jobs.crew import Crew
from service.settings import Settings

Work = Callable[[Callable[[], bool]], None]


def taken(host: str, port: int) -> bool:
    """Whether something serves there already; any other trouble with the address is left for the server to tell."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)  # as the server does: a port just left is not taken
        try:
            probe.bind((host, port))
        except OSError as error:
            return error.errno == errno.EADDRINUSE
    return False


class Master(Arbiter):
    """gunicorn's master, which keeps a crew besides its own workers: looked after each second, ended with it."""

    def __init__(self, app: Server, work: Work, size: int) -> None:
        super().__init__(app)
        self._crew = Crew(size, work, self._close_listeners)

    def _close_listeners(self) -> None:
        for each in self.LISTENERS:
            each.close()

    def manage_workers(self) -> None:
        """Called by gunicorn about once a second."""
        super().manage_workers()
        self._crew.keep()

    def stop(self, graceful: bool = True) -> None:
        """Called by gunicorn at the end."""
        self._crew.ask()
        super().stop(graceful)
        self._crew.stop()


class Server(BaseApplication):
    """Serves `app` with the settings' options; `run()` returns by leaving the process. `work`: what a worker of batches does."""

    def __init__(self, app: Flask, settings: Settings, work: Work) -> None:
        self._app, self._options, self._work, self._crew = app, options(settings), work, settings.batch_workers
        super().__init__()

    def run(self) -> None:
        """Serve."""
        try:
            Master(self, self._work, self._crew).run()
        except RuntimeError as error:  # as gunicorn does: an address that cannot be had
            sys.stderr.write(f"\nError: {error}\n\n")
            sys.exit(1)

    def load_config(self) -> None:
        """Called by gunicorn."""
        for name, value in self._options.items():
            self.cfg.set(name, value)

    def load(self) -> Any:
        """Called by gunicorn, in the process that forks the workers."""
        return self._app

"""gunicorn around an application that is already made."""

from __future__ import annotations

import errno
import socket
from typing import Any

from flask import Flask
from gunicorn.app.base import BaseApplication

from service.gunicorn_conf import options
from service.settings import Settings


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


class Server(BaseApplication):
    """Serves `app` with the settings' options; `run()` returns by leaving the process."""

    def __init__(self, app: Flask, settings: Settings) -> None:
        self._app, self._options = app, options(settings)
        super().__init__()

    def load_config(self) -> None:
        """Called by gunicorn."""
        for name, value in self._options.items():
            self.cfg.set(name, value)

    def load(self) -> Any:
        """Called by gunicorn, in the process that forks the workers."""
        return self._app

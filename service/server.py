"""gunicorn around an application that is already made."""

from __future__ import annotations

from typing import Any

from flask import Flask
from gunicorn.app.base import BaseApplication

from service.gunicorn_conf import options
from service.settings import Settings


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

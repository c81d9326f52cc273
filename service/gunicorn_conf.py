"""How the server is run: threads for clients that wait, two processes for two cores, tables loaded once before the workers fork."""

from __future__ import annotations

from typing import Any

from service.settings import Settings
from service.watch import measures


def _ended(_: object, worker: Any) -> None:
    measures.ended(worker.pid)


def options(settings: Settings) -> dict[str, object]:
    """gunicorn's settings for these settings."""
    return {
        "bind": f"[{settings.host}]:{settings.port}" if ":" in settings.host else f"{settings.host}:{settings.port}",
        "worker_class": "service.worker.Worker",
        "workers": settings.workers,
        "threads": settings.threads,
        "preload_app": True,
        "control_socket_disable": True,
        "timeout": 30,
        "graceful_timeout": 30,
        "keepalive": 5,
        "limit_request_line": 4094,
        "limit_request_fields": 60,
        "limit_request_field_size": 8190,
        "proc_name": "quotes",
        "loglevel": "warning",
        "logger_class": "service.watch.journal.ServerLog",
        "child_exit": _ended,
    }

"""Server configuration: threads for waiting on I/O, two processes for two cores, tables loaded once before the workers fork."""

from __future__ import annotations

from typing import Any

from service.observability import metrics
from service.settings import Settings

PLACES = 1000  # connections per worker, most of them idle


def _ended(_: object, worker: Any) -> None:
    metrics.ended(worker.pid)


def options(settings: Settings) -> dict[str, object]:
    """gunicorn's options for these settings."""
    return {
        "bind": f"[{settings.host}]:{settings.port}" if ":" in settings.host else f"{settings.host}:{settings.port}",
        "worker_class": "service.server.worker.Worker",
        "workers": settings.workers,
        "threads": settings.threads,
        "worker_connections": PLACES,
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
        "logger_class": "service.observability.log.ServerLog",
        "child_exit": _ended,
    }

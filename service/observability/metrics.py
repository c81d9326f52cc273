"""Prometheus metrics for all workers on a machine: each worker writes its own to a directory, and whichever is scraped adds them up."""

from __future__ import annotations

import atexit
import os
import shutil
import tempfile
import time
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from flask import Flask, Response

from pricing.version import ENGINE
from service.http.unproxied import current_request, request_state
from service.observability.log import method, route

if TYPE_CHECKING:
    from prometheus_client import CollectorRegistry, Counter, Histogram, Metric

FOLDER = "PROMETHEUS_MULTIPROC_DIR"  # the library's own variable name, read on import
BUCKETS = (0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 30)
_MADE = {"quotes.issue": "issued", "quotes.preview": "previewed", "life.revise": "revised"}
_REFUSED_BY_LIMIT, _DATABASE = 429, "database_failed"


def share() -> None:
    """Before the workers fork and the library is imported, create their shared directory; it is deleted when its creator ends."""
    if FOLDER in os.environ:
        return
    folder, mine = tempfile.mkdtemp(prefix="quotes-measures-"), os.getpid()
    os.environ[FOLDER] = folder
    atexit.register(lambda: shutil.rmtree(folder, ignore_errors=True) if os.getpid() == mine else None)


def ended(pid: int) -> None:
    """A worker has ended: stop counting its requests in progress."""
    if FOLDER in os.environ:
        from prometheus_client.multiprocess import mark_process_dead

        mark_process_dead(pid)


class Measures:
    """The metrics of one process. Labels are route templates, methods and statuses, so their number is limited."""

    def __init__(self) -> None:
        from prometheus_client import CollectorRegistry, Counter, Gauge, Histogram

        own = self.registry = CollectorRegistry()
        self.requests = Counter("quotes_requests", "Requests answered.", ("method", "route", "status"), registry=own)
        self.seconds = Histogram(
            "quotes_request_seconds", "Time until the response.", ("method", "route", "status_class"), buckets=BUCKETS, registry=own
        )
        self.engine = Histogram("quotes_engine_seconds", "Time spent computing, of requests that compute.", buckets=BUCKETS, registry=own)
        self.in_hand = Gauge("quotes_requests_in_hand", "Requests in progress.", registry=own, multiprocess_mode="livesum")
        self.made = Counter("quotes_made", "Quotes made.", ("how",), registry=own)
        self.replays = Counter("quotes_replays", "Responses repeated for an Idempotency-Key.", registry=own)
        self.limited = Counter("quotes_limited", "Requests refused by a limit.", registry=own)
        self.troubles = Counter("quotes_database_failures", "Requests that the database failed.", registry=own)
        self._computations = Counter("quotes_computations", "Computations in processes of their own.", ("lane", "outcome"), registry=own)
        self._answers: dict[tuple[str, str, int], tuple[Counter, Histogram]] = {}
        build = Gauge("quotes_build", "The engine in use; always 1.", ("engine",), registry=own, multiprocess_mode="livemax")
        build.labels(ENGINE).set(1)

    def answered(self, method: str, route: str, status: int, seconds: float) -> None:
        """Count an answer, and the time it took."""
        known = self._answers.get((method, route, status))
        if known is None:
            ours = self.requests.labels(method, route, str(status)), self.seconds.labels(method, route, f"{status // 100}xx")
            known = self._answers[method, route, status] = ours
        requests, took = known
        requests.inc()
        took.observe(seconds)

    def computed(self, lane: str, outcome: str) -> None:
        """Count a computation. `outcome`: done or failed; clock or memory if stopped at that limit; gone if its process ended; busy
        if it was not started.
        """
        self._computations.labels(lane, outcome).inc()

    def text(self) -> tuple[bytes, str]:
        """The metrics in Prometheus format, and their media type."""
        from prometheus_client import CONTENT_TYPE_PLAIN_0_0_4, generate_latest

        return generate_latest(self._all_workers()), CONTENT_TYPE_PLAIN_0_0_4

    def _all_workers(self) -> CollectorRegistry:
        if FOLDER not in os.environ:
            return self.registry
        from prometheus_client import CollectorRegistry

        registry = CollectorRegistry()
        registry.register(_AllWorkers())
        return registry


class _AllWorkers:
    """Adds up the files of all workers, those of ended ones included.

    A worker creates its file empty and gives it a size afterwards; the library's own collector fails on a file of no bytes, for every
    worker, and for good if the worker was killed in between (prometheus/client_python, issue 1199). Such a file holds nothing yet.
    """

    def collect(self) -> Iterable[Metric]:
        from prometheus_client.multiprocess import MultiProcessCollector

        metrics: Iterable[Metric] = MultiProcessCollector.merge(
            [str(file) for file in Path(os.environ[FOLDER]).glob("*.db") if _size(file)]
        )
        return metrics


def _size(file: Path) -> int:
    """In bytes; 0 if an ended worker's file was removed meanwhile."""
    try:
        return file.stat().st_size
    except FileNotFoundError:
        return 0


class Deliveries:
    """A worker's webhook delivery counters; the `/metrics` endpoint of the server that runs the worker adds them to its own."""

    def __init__(self) -> None:
        from prometheus_client import CollectorRegistry, Counter, Histogram

        own = CollectorRegistry()
        self._attempts = Counter("quotes_webhook_attempts", "Attempts to deliver a message.", ("event", "outcome"), registry=own)
        self._seconds = Histogram("quotes_webhook_seconds", "Time of an attempt.", buckets=BUCKETS, registry=own)

    def tried(self, event: str, outcome: str, seconds: float) -> None:
        """Count an attempt. `outcome`: delivered, again, dead or gone."""
        self._attempts.labels(event, outcome).inc()
        self._seconds.observe(seconds)


def install(app: Flask) -> None:
    """Record metrics for every request."""
    measures = app.extensions["measures"]

    @app.before_request
    def start() -> None:
        request_state()["measured"] = time.perf_counter()
        measures.in_hand.inc()

    @app.after_request
    def answered(response: Response) -> Response:
        status, now, facts, asked = response.status_code, time.perf_counter(), request_state(), current_request()
        measures.answered(method(asked), route(asked), status, now - facts.get("measured", now))
        if computed := app.extensions["computing"].had():
            measures.engine.observe(computed)
        if facts.get("replayed"):
            measures.replays.inc()
        elif (how := _MADE.get(asked.endpoint or "")) and status < 300:
            measures.made.labels(how).inc()
        if status == _REFUSED_BY_LIMIT:
            measures.limited.inc()
        if facts.get(_DATABASE):
            measures.troubles.inc()
        return response

    @app.teardown_request
    def over(_: BaseException | None) -> None:
        if request_state().pop("measured", None) is not None:
            measures.in_hand.dec()

"""Logging: one line per request and per problem, as JSON or text, without personal data.

Requests are logged by route template: no line contains an id, a tag, a query or a link's token. A key appears by its public
identifier.
"""

from __future__ import annotations

import json
import logging
import sys
import threading
import time
from collections.abc import Callable
from datetime import UTC, datetime
from functools import lru_cache
from types import TracebackType
from typing import Any

from flask import Flask, Request, Response, g, has_request_context, request
from flask.sessions import NullSession, SessionInterface
from gunicorn.glogging import Logger
from sqlalchemy.exc import SQLAlchemyError

from service.http.caller import caller
from service.http.unproxied import current_request, request_state
from service.observability.failures import trace
from service.storage.ids import new_id

FORMATS = ("json", "text")
NO_ROUTE = "none"  # if no route matches
_METHODS = frozenset({"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"})
_FIGURES = ("request_id", "method", "route", "status", "ms", "bytes", "key", "endpoint", "event", "attempt", "outcome")
log = logging.getLogger("service.requests")
Failure = tuple[type[BaseException], BaseException, TracebackType | None] | tuple[None, None, None]


def route(asked: Request | None = None) -> str:
    """The route template of a request, by default the current one."""
    rule = (request if asked is None else asked).url_rule
    return NO_ROUTE if rule is None else rule.rule


def method(asked: Request | None = None) -> str:
    """A request's method, if it is a known one."""
    found = (request if asked is None else asked).method
    return found if found in _METHODS else "other"


class NoSessions(SessionInterface):
    """Nobody is recognised by a cookie, so none is read or set."""

    _none = NullSession()

    def open_session(self, app: Flask, request: Request) -> NullSession:
        """Called by Flask for each request."""
        return self._none


class Application(Flask):
    """A Flask application that logs failures without the requested URL."""

    session_interface = NoSessions()

    def ensure_sync(self, func: Callable[..., Any]) -> Callable[..., Any]:
        """Called by Flask for every hook and view of every request. None of them is a coroutine, and checking costs more than the hooks."""
        return func

    def log_exception(self, exc_info: Failure) -> None:
        """Called by Flask for uncaught exceptions."""
        if isinstance(exc_info[1], SQLAlchemyError):
            g.database_failed = True
        self.logger.error("failure at %s %s", method(), route(), exc_info=exc_info)


class Plain(logging.Formatter):
    """A formatter that omits exception messages, which may quote the request."""

    def formatException(self, ei: Any) -> str:  # noqa: N802  # the library's name
        """Called by the logging library."""
        return trace(ei[1]) if ei[1] is not None else ""


class Json(Plain):
    """Formats a record as one line of JSON."""

    def format(self, record: logging.LogRecord) -> str:
        """Time, level, logger and message; for a request its figures, for a failure its trace."""
        line: dict[str, Any] = {
            "time": _time(record),
            "level": record.levelname.lower(),
            "logger": record.name,
            "message": record.getMessage(),
        }
        given = record.__dict__
        line |= {name: given[name] for name in _FIGURES if name in given}
        if record.exc_info:
            line["trace"] = self.formatException(record.exc_info)
        return json.dumps(line, ensure_ascii=True)


class Text(Plain):
    """Formats a record as a line of text."""

    def format(self, record: logging.LogRecord) -> str:
        """The same as text, with the trace on lines of its own."""
        figures = " ".join(f"{name}={getattr(record, name)}" for name in _FIGURES if hasattr(record, name))
        line = " ".join(each for each in (_time(record), record.levelname.lower(), record.getMessage(), figures) if each)
        return f"{line}\n{self.formatException(record.exc_info)}" if record.exc_info else line


def _time(record: logging.LogRecord) -> str:
    return f"{_second(int(record.created))}.{int(record.created % 1 * 1000):03d}Z"


@lru_cache(maxsize=4)
def _second(seconds: int) -> str:
    return datetime.fromtimestamp(seconds, UTC).isoformat(timespec="seconds").removesuffix("+00:00")


def begin(form: str) -> None:
    """Start logging to standard error. `form`: one of `FORMATS`."""
    handler = logging.StreamHandler(sys.stderr)
    handler.setFormatter(Json() if form == "json" else Text())
    handler.addFilter(_add_request_id)
    ours = logging.getLogger("service")
    ours.handlers, ours.propagate = [handler], False
    ours.setLevel(logging.INFO)
    others = logging.getLogger()  # warnings from libraries
    others.handlers = [handler]
    others.setLevel(logging.WARNING)
    logging.captureWarnings(capture=True)
    # no format uses thread, process or code location, so they need not be determined for each record
    logging.logThreads = logging.logProcesses = logging.logMultiprocessing = False
    threading.excepthook = _thread_failed


def _thread_failed(failed: threading.ExceptHookArgs) -> None:
    log.error("a thread failed", exc_info=failed.exc_value)


class ServerLog(Logger):
    """Sends the log of the server underneath the application to the same handler."""

    def setup(self, cfg: Any) -> None:
        """Called by gunicorn."""
        super().setup(cfg)
        if handlers := logging.getLogger("service").handlers:
            self.error_log.handlers = list(handlers)


def refused_below(status: int) -> str:
    """Log a request that never reached the application; returns the id under which it is answered."""
    request_id = new_id()
    log.info("rejected by the HTTP server", extra={"request_id": request_id, "route": NO_ROUTE, "status": status})
    return request_id


def _add_request_id(record: logging.LogRecord) -> bool:
    """Add the request's id to records logged during the request."""
    if "request_id" not in record.__dict__ and has_request_context() and "request_id" in g:
        record.request_id = g.request_id
    return True


def install(app: Flask) -> None:
    """Log every request. Must be installed first, so that it sees the final response."""

    @app.before_request
    def start() -> None:
        request_state()["begun"] = time.perf_counter()

    @app.after_request
    def ended(response: Response) -> Response:
        if log.isEnabledFor(logging.INFO):
            who, asked, facts, now = caller(), current_request(), request_state(), time.perf_counter()
            figures = {
                "request_id": facts.get("request_id"),
                "method": method(asked),
                "route": route(asked),
                "status": response.status_code,
                "ms": round(1000 * (now - facts.get("begun", now)), 1),
                # streams are not buffered here
                "bytes": response.calculate_content_length() if response.is_sequence else response.content_length,
                "key": who.id if who else None,
            }
            if figures["request_id"] is None:
                del figures["request_id"]
            log.handle(
                log.makeRecord(log.name, logging.INFO, "", 0, "request", (), None, extra=figures)
            )  # `log.info` would look for the caller's line
        return response

"""The server's worker: threaded like gunicorn's own, but what it refuses underneath the application is also a problem document, never
HTML.
"""

from __future__ import annotations

import logging
import os
import signal
import socket
import sys
from http import HTTPStatus
from typing import Any

from gunicorn.http import errors

from service.computing.collector import spare_what_is_loaded
from service.computing.orphans import end_with
from service.http import problems
from service.observability import tracing
from service.server import buffering, connection, request_head

SWITCH_SECONDS = 0.0005
REFUSALS: tuple[tuple[type[Exception], int, str], ...] = (
    (errors.LimitRequestLine, 414, "The address is too long."),
    (errors.LimitRequestHeaders, 431, request_head.HEADERS),
    (errors.ExpectationFailed, 417, "The only expectation supported is 100-continue."),
    (errors.UnsupportedTransferCoding, 501, "This transfer coding is not supported: send Content-Length and no transfer coding."),
    (errors.InvalidRequestLine, 400, request_head.NOT_HTTP),
    (errors.InvalidRequestMethod, 400, "The method is not a token as HTTP/1.1 defines it."),
    (errors.InvalidHTTPVersion, 505, request_head.VERSION),
    (errors.ParseException, 400, "The request is not valid HTTP/1.1: check its header fields and its framing."),
)


FAULTY_HEADERS: tuple[tuple[type[Exception], str], ...] = (
    (errors.ExpectationFailed, "Expect"),
    (errors.UnsupportedTransferCoding, "Transfer-Encoding"),
)


def refusal(failure: BaseException) -> request_head.Fault:
    """The refusal of a request that the server could not parse, naming the faulty header field; 500 for any failure of the server's own."""
    for kind, status, detail in REFUSALS:
        if isinstance(failure, kind):
            header = next((name for each, name in FAULTY_HEADERS if isinstance(failure, each)), None)
            return request_head.Fault(status, detail, request_head.name_of(str(getattr(failure, "hdr", ""))) if header is None else header)
    return request_head.Fault(500, problems.DETAILS[500])


def _leave(*_: object) -> None:
    """Exit if told to stop before taking requests. The handler inherited from the master would only queue the signal for a loop that does
    not run here."""
    os._exit(0)


class Worker(buffering.PatientWorker):
    """The buffering worker, with its own response to input that is not HTTP."""

    def init_process(self) -> None:
        """Make the worker exit with the master, and set a short switch interval, so that a thread that returns from the database soon gets to run
        beside threads that compute.
        """
        signal.signal(signal.SIGTERM, _leave)
        end_with(self.ppid)
        sys.setswitchinterval(SWITCH_SECONDS)
        app: Any = self.app.wsgi()
        app.extensions["catalogues"].refresh()  # a replacement worker starts with the tables in force
        self.most_body = app.extensions["settings"].max_body_bytes
        try:
            app.extensions["spans"] = tracing.begin()
        except ImportError:
            logging.getLogger("service").warning("no traces are recorded: install the extra `otel`")
        spare_what_is_loaded()
        super().init_process()

    def handle_exit(self, sig: int, frame: Any) -> None:
        """Disconnect clients that follow batches; they will reconnect elsewhere."""
        app: Any = self.app.wsgi()
        app.extensions["followers"].closing.set()
        super().handle_exit(sig, frame)

    def handle_error(self, req: Any, client: socket.socket, addr: object, exc: BaseException) -> None:
        """Log our own errors, respond in any case, and let the caller close the connection."""
        fault = refusal(exc)
        if fault.status == HTTPStatus.INTERNAL_SERVER_ERROR:
            logging.getLogger("service").error("unhandled error in the server", exc_info=exc)
        try:
            client.sendall(connection.refusal(fault))
        except OSError:
            logging.getLogger("service").debug("the client disconnected before it was refused")

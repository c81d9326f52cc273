"""The server's worker: threads, as gunicorn's own, but what it refuses below the application is a problem too, never HTML."""

from __future__ import annotations

import logging
import socket
import sys
from http import HTTPStatus
from typing import Any

from gunicorn.http import errors

from service import patient, problems
from service.watch import tracing

SWITCH_SECONDS = 0.0005
REFUSALS: tuple[tuple[type[Exception], int, str], ...] = (
    (errors.LimitRequestLine, 414, "The address is too long."),
    (errors.LimitRequestHeaders, 431, "There are too many header fields, or one is too long."),
    (errors.ExpectationFailed, 417, "No expectation but 100-continue is met here."),
    (errors.UnsupportedTransferCoding, 501, "This transfer coding is not known here: send Content-Length and no transfer coding."),
    (errors.InvalidRequestLine, 400, "The first line is not a request of HTTP/1.1."),
    (errors.InvalidRequestMethod, 400, "The method is not a word of HTTP/1.1."),
    (errors.InvalidHTTPVersion, 400, "Only HTTP/1.0 and HTTP/1.1 are spoken here."),
    (errors.ParseException, 400, "The request is not HTTP/1.1 that can be read: look at its header fields and its framing."),
)


def refusal(failure: BaseException) -> tuple[int, str]:
    """Status and detail for what the server could not read; 500 for anything that is not the client's."""
    for kind, status, detail in REFUSALS:
        if isinstance(failure, kind):
            return status, detail
    return 500, problems.DETAILS[500]


class Worker(patient.PatientWorker):
    """The patient worker with its own answer to what is no HTTP."""

    def init_process(self) -> None:
        """Let a thread that comes back from the database have its turn within half a millisecond, instead of waiting behind computing ones."""
        sys.setswitchinterval(SWITCH_SECONDS)
        app: Any = self.app.wsgi()
        app.extensions["catalogues"].refresh()  # a worker that replaces another begins with the tables in force
        self.most_body = app.extensions["settings"].max_body
        try:
            app.extensions["spans"] = tracing.begin()
        except ImportError:
            logging.getLogger("service").warning("no spans: install the extra otel")
        super().init_process()

    def handle_exit(self, sig: int, frame: Any) -> None:
        """Let go of those who follow batches: they connect again, elsewhere."""
        app: Any = self.app.wsgi()
        app.extensions["followers"].closing.set()
        super().handle_exit(sig, frame)

    def handle_error(self, req: Any, client: socket.socket, addr: object, exc: BaseException) -> None:
        """Log what is ours, answer either way, and let the caller close the connection."""
        status, detail = refusal(exc)
        if status == HTTPStatus.INTERNAL_SERVER_ERROR:
            logging.getLogger("service").error("failure below the application", exc_info=exc)
        try:
            client.sendall(patient.refusal(status, detail))
        except OSError:
            logging.getLogger("service").debug("the client left before its refusal")

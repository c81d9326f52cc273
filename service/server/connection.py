"""A client connection with the data received for its next request, and the responses that the server itself sends to invalid requests."""

from __future__ import annotations

import math
import socket
import time
from http import HTTPStatus
from typing import TYPE_CHECKING, Any

from gunicorn import util
from gunicorn.workers import gthread

from service.auth.headers import REQUEST_ID
from service.http import bodies, problems
from service.http.problem_types import code_of
from service.observability.log import refused_below
from service.rate_limit.enforce import network
from service.server.request_head import END, MOST_FIELDS, MOST_HEAD, MOST_LINE, NOT_HTTP, Fault, Head, line_fault, read_head, too_large

if TYPE_CHECKING:
    from service.server.buffering import PatientWorker
    from service.server.lanes import Lane

_gthread: Any = gthread  # its type stubs are for an older release
PAUSE_SECONDS = 10.0  # maximum time between two reads or writes in a thread
GRACE_SECONDS = 2.0  # beyond the time allowed for a large body, so that its thread can end it first


def refusal(fault: Fault) -> bytes:
    """A complete HTTP response that refuses a request before it reaches the application."""
    status, detail, header = fault
    faults = [problems.header_fault(header, code_of(status, ()), detail)] if header else []
    body = problems.document(status, detail, faults)
    lines = (
        f"HTTP/1.1 {status} {HTTPStatus(status).phrase}",
        "Connection: close",
        f"{REQUEST_ID}: {refused_below(status)}",
        f"Content-Type: {problems.MEDIA}",
        "Cache-Control: no-store",
        f"Content-Length: {len(body)}",
        *(["Retry-After: 1"] if status == HTTPStatus.SERVICE_UNAVAILABLE else []),
    )
    return "\r\n".join(lines).encode() + END + body


class Connection(_gthread.TConn):  # type: ignore[misc]
    """A connection with the data received for its next request."""

    def __init__(self, worker: PatientWorker, sock: socket.socket, client: object, server: object) -> None:
        super().__init__(worker.cfg, sock, client, server)
        self.worker, self.gathered = worker, bytearray()
        self.network = network(client[0]) if isinstance(client, tuple) else ""
        self.head: Head | None = None  # head of the arriving request, once complete
        self.body_at, self.looked, self.judged = 0, 0, False
        self.counted = 0  # bytes of this connection counted in the worker's total
        self.data_ready = True  # a thread receives it only when it need not wait
        self.complete = False  # the request is complete, but the client has not read earlier responses yet
        self.served = self.gone = False
        self.watched = False  # the event loop waits for what it sends next
        self.lane: Lane | None = None  # while a thread has the request
        self.due = math.inf  # deadline for what a thread is reading

    def init(self) -> None:
        """Called in the thread before each request: the parser reads the collected data first, then the socket, with a timeout per read."""
        super().init()
        if self.gathered:
            self.parser.unreader.unread(bytes(self.gathered))
            self.gathered.clear()
        self.head, self.looked, self.judged = None, 0, False
        self.sock.settimeout(PAUSE_SECONDS)

    def close(self, graceful: bool = False) -> None:
        """Called in the event loop, also by gunicorn."""
        self.worker.forget_closed(self)
        if graceful:
            self.worker.linger(self.sock)
        else:
            util.close(self.sock)

    def add(self, piece: bytes) -> Fault | None:
        """Add received data and parse the head once it is complete. Returns the fault of an invalid request for which the parser would
        wait on.
        """
        self.gathered += piece
        if self.head is None:
            while self.gathered.startswith(b"\r\n"):  # servers ignore empty lines before a request (RFC 9112, 2.2)
                del self.gathered[:2]
            fault = self._line_fault()
            if fault is None:
                self._read()
            return fault or (self.head.fault if self.head else None)
        return None

    def _line_fault(self) -> Fault | None:
        if self.judged:
            return None
        line, ended, _ = bytes(self.gathered[: MOST_LINE + 1]).partition(b"\n")
        self.judged = bool(ended)
        if ended:
            return line_fault(line[:-1]) if line.endswith(b"\r") else Fault(400, NOT_HTTP)
        return None if not line or line == b"\r" or b"!" <= line[:1] <= b"~" else Fault(400, NOT_HTTP)

    def _read(self) -> None:
        end = self.gathered.find(END, max(self.looked - len(END), 0))
        self.looked = len(self.gathered)
        if end >= 0:
            self.head, self.body_at = read_head(bytes(self.gathered[:end])), end + len(END)
        elif len(self.gathered) > MOST_HEAD:
            self.head = Head(fault=too_large(bytes(self.gathered).split(b"\r\n", MOST_FIELDS)[1:]))

    def arrived(self, most_body: int) -> bool:
        """Whether a thread can begin: the request is complete, its body is large enough to be streamed, or the parser refuses it at
        once.
        """
        if self.head is None:
            return not self.judged and len(self.gathered) > MOST_LINE
        length = self.head.length
        if length > most_body:
            self.due = time.monotonic() + bodies.allowed(length) + GRACE_SECONDS
            return True
        if len(self.gathered) >= self.body_at + length:
            return True
        if self.head.without_expect is not None:
            self.gathered[: self.body_at] = self.head.without_expect + END
            self.body_at, self.head = len(self.head.without_expect) + len(END), Head(length)
            self.sock.send(b"HTTP/1.1 100 Continue" + END)
        return False

    def unread(self) -> bool:
        """Called in the thread: whether part of the last request's body has yet to arrive."""
        left = getattr(self.parser.mesg.body.reader, "length", 0)
        return bool(left > self.parser.unreader.buf.getbuffer().nbytes)

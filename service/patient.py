"""A gunicorn worker whose threads wait for no client: a request goes to a thread once it has arrived.

The worker's loop, which waits for all connections at once, gathers each request's head and its body up to a size. Who sends nothing, or half a
request, costs a socket and some memory until its time is up, and no thread. Larger bodies are read by a thread, with a time limit for each piece.
"""

from __future__ import annotations

import errno
import math
import re
import select
import selectors
import socket
import time
from contextlib import suppress
from functools import partial
from http import HTTPStatus
from typing import Any

from gunicorn import util
from gunicorn.workers import gthread

from service import bodies, problems
from service.guard.manners import REQUEST_ID
from service.watch.journal import refused_below

_gthread: Any = gthread  # its stubs are of an older release
GATHER_SECONDS = 20.0  # from the first byte looked for to the last of the request
PAUSE_SECONDS = 10.0  # between two pieces of what a thread reads or writes
GRACE_SECONDS = 2.0  # beyond what a large body may take, for its thread to end it by itself
LINGER_SECONDS = 2.0  # for the client to read its last reply and close; as gunicorn's own, which holds up the loop
MOST_LINE, MOST_HEAD = 4096, 495_000  # what the parser refuses by itself, and where it would
MOST_GATHERED = 256_000_000  # bytes of half requests in one worker
PIECE = 65_536
_FIRST = re.compile(rb"[!-~]+ [^ \r\n]+ [^ \r\n]+\r")
_END = b"\r\n\r\n"
_LENGTH = re.compile(rb"\r\ncontent-length[ \t]*:[ \t]*([^\r\n]*?)[ \t]*(?=\r\n)", re.IGNORECASE)
_CHUNKS = re.compile(rb"\r\ntransfer-encoding[ \t]*:[^\r\n]*chunked", re.IGNORECASE)
_EXPECTS = re.compile(rb"\r\nexpect[ \t]*:[ \t]*100-continue[ \t]*(?=\r\n)", re.IGNORECASE)
NOT_HTTP = "The first line is not a request of HTTP/1.1."
HEADERS = "There are too many header fields, or one is too long."
TOO_SLOW = "The request did not arrive whole in time: send it again."
NO_LENGTH = "Send Content-Length with the body; a body in chunks is not accepted."
TOO_MANY = "Too many requests are arriving at once. Try again later."


def refusal(status: int, detail: str) -> bytes:
    """What is answered below the application, as a whole reply."""
    body = problems.document(status, detail)
    lines = (
        f"HTTP/1.1 {status} {HTTPStatus(status).phrase}",
        "Connection: close",
        f"{REQUEST_ID}: {refused_below(status)}",
        f"Content-Type: {problems.MEDIA}",
        "Cache-Control: no-store",
        f"Content-Length: {len(body)}",
    )
    return "\r\n".join(lines).encode() + _END + body


class Connection(_gthread.TConn):  # type: ignore[misc]
    """A connection with what has arrived of its next request."""

    def __init__(self, worker: PatientWorker, sock: socket.socket, client: object, server: object) -> None:
        super().__init__(worker.cfg, sock, client, server)
        self.worker, self.gathered = worker, bytearray()
        self.told = False  # to go on sending
        self.data_ready = True  # a thread gets it when it need not wait
        self.whole = False  # its request is here, its last replies not yet taken
        self.served = False
        self.due = math.inf  # when what a thread reads has to be there

    def init(self) -> None:
        """Called in the thread, before each request: the parser reads what was gathered, then the socket, which waits no longer than a pause."""
        super().init()
        if self.gathered:
            self.parser.unreader.unread(bytes(self.gathered))
            self.gathered.clear()
        self.told = False
        self.sock.settimeout(PAUSE_SECONDS)

    def close(self, graceful: bool = False) -> None:
        """Called in the loop."""
        if graceful:
            self.worker.linger(self.sock)
        else:
            util.close(self.sock)

    def arrived(self, most_body: int) -> bool:
        """Whether a thread can begin: the request is there whole, or its body is one to be read as it comes, or the parser refuses it at once."""
        end = self.gathered.find(_END)
        if end < 0:
            return len(self.gathered) > MOST_LINE and b"\r\n" not in self.gathered[:MOST_LINE]
        head = bytes(self.gathered[: end + 2])
        length = _length(head)
        if length > most_body:
            self.due = time.monotonic() + bodies.allowed(length) + GRACE_SECONDS
            return True
        if len(self.gathered) >= end + len(_END) + length:
            return True
        if not self.told and _EXPECTS.search(head):
            self.told = True
            self.gathered[: end + 2] = _EXPECTS.sub(b"", head)
            self.sock.send(b"HTTP/1.1 100 Continue" + _END)
        return False

    def fault(self) -> tuple[int, str] | None:
        """Why what has arrived is no request, where the parser would wait for more of it."""
        line, ended, _ = bytes(self.gathered[: MOST_LINE + 1]).lstrip(b"\r\n").partition(b"\n")
        if (ended and not _FIRST.fullmatch(line)) or (line and not b"!" <= line[:1] <= b"~"):
            return 400, NOT_HTTP
        end = self.gathered.find(_END)
        if end < 0:
            return (431, HEADERS) if len(self.gathered) > MOST_HEAD else None
        head = bytes(self.gathered[: end + 2])
        return (411, NO_LENGTH) if _CHUNKS.search(head) and not _LENGTH.search(head) else None  # with both the parser refuses it

    def unread(self) -> bool:
        """Called in the thread: whether some of the last request's body is still to come."""
        left = getattr(self.parser.mesg.body.reader, "length", 0)
        return bool(left > self.parser.unreader.buf.getbuffer().nbytes)


def _length(head: bytes) -> int:
    """What the parser will take for the body's length; 0 too where it refuses the head, since it does so at once."""
    found = _LENGTH.findall(head)
    try:
        return int(found[0]) if len(found) == 1 and found[0].isdigit() else 0
    except ValueError:  # thousands of digits
        return 0


def _awaited(connection: Connection) -> int:
    return selectors.EVENT_WRITE if connection.whole else selectors.EVENT_READ


def _writable(sock: socket.socket) -> bool:
    """Whether the kernel takes more for this client; `poll`, since `select` knows no descriptor beyond 1023."""
    asked = select.poll()
    asked.register(sock, select.POLLOUT)
    return bool(asked.poll(0))


class PatientWorker(_gthread.ThreadWorker):  # type: ignore[misc]
    """gunicorn's thread worker with requests gathered in its loop. `most_body`: of a body that is gathered."""

    most_body = 2_000_000

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lingering: dict[socket.socket, float] = {}
        self.reading: set[Connection] = set()  # whose body a thread may be waiting for

    def set_accept_enabled(self, enabled: bool) -> None:
        """Called in the loop; where the worker stops, take who is in the queue and then let the address refuse, instead of keeping people waiting."""
        super().set_accept_enabled(enabled)
        if enabled or self.alive:
            return
        for listener in self.sockets:
            listener.setblocking(False)
            before = -1
            while before != self.nr_conns:
                before = self.nr_conns
                self.accept(listener)
            listener.close()

    def accept(self, listener: socket.socket) -> None:
        """Take a new connection; called where the listener is readable."""
        try:
            sock, address = listener.accept()
        except OSError as error:
            if error.errno not in (errno.EAGAIN, errno.ECONNABORTED, errno.EWOULDBLOCK):
                raise
            return
        self.nr_conns += 1
        connection = Connection(self, sock, address, listener.getsockname())
        if not self._take(connection):
            self._await(connection)

    def on_client_socket_readable(self, conn: Connection, client: socket.socket) -> None:
        """The next request of a connection that was kept begins to arrive."""
        self.poller.unregister(client)
        self.keepalived_conns.remove(conn)
        if not self._take(conn):
            self._await(conn)

    def _await(self, connection: Connection) -> None:
        connection.timeout = time.monotonic() + (GATHER_SECONDS if self.alive else LINGER_SECONDS)
        self.pending_conns.append(connection)
        self.poller.register(connection.sock, _awaited(connection), partial(self._more, connection))

    def _more(self, connection: Connection, client: socket.socket) -> None:
        if self._start(connection) if connection.whole else self._take(connection):
            self.poller.unregister(client)
            self.pending_conns.remove(connection)
        else:
            self.poller.modify(client, _awaited(connection), partial(self._more, connection))

    def _take(self, connection: Connection) -> bool:
        """Read what is there; True where the connection needs no more waiting: it went to a thread, or was let go."""
        try:
            piece = connection.sock.recv(PIECE)
        except (BlockingIOError, InterruptedError):
            return False
        except OSError:
            piece = b""
        if not piece:
            self._end(connection, None)
            return True
        connection.gathered += piece
        return self._judge(connection)

    def _judge(self, connection: Connection) -> bool:
        """As `_take`, of what has been read."""
        fault = connection.fault()
        if fault is None and self._gathered() > MOST_GATHERED:
            fault = 503, TOO_MANY
        if fault is not None:
            self._end(connection, fault)
            return True
        try:
            arrived = connection.arrived(self.most_body)
        except OSError:
            self._end(connection, None)
            return True
        return arrived and self._start(connection)

    def _start(self, connection: Connection) -> bool:
        """To a thread, unless the client takes no replies: one after the other would fill what the kernel holds, and then the thread would wait."""
        taken = not connection.served or _writable(connection.sock)
        connection.whole = not taken
        if taken:
            self.enqueue_req(connection)
        return taken

    def enqueue_req(self, conn: Connection) -> None:
        """To a thread; where that has to read from the client, it is watched."""
        if conn.due < math.inf:
            self.reading.add(conn)
        super().enqueue_req(conn)

    def finish_request(self, conn: Connection, fs: Any) -> None:
        """Called in the loop, after a reply: what was sent behind the request is the beginning of the next, and is waited for here as well."""
        self.reading.discard(conn)
        conn.due, conn.served = math.inf, True
        goes_on = not fs.cancelled() and fs.exception() is None and fs.result()
        ahead = conn.parser.unreader.take_buffered() if goes_on else b""
        if not ahead:
            super().finish_request(conn, fs)
            return
        conn.sock.setblocking(False)
        conn.gathered += ahead
        if not self._judge(conn):
            self._await(conn)

    def _gathered(self) -> int:
        return sum(len(each.gathered) for each in self.pending_conns)

    def _end(self, connection: Connection, fault: tuple[int, str] | None) -> None:
        """Let a connection go whose request never came to a thread, with a refusal or without a word."""
        self.nr_conns -= 1
        if fault is None:
            util.close(connection.sock)
            return
        with suppress(OSError):
            connection.sock.send(refusal(*fault))
        self.linger(connection.sock)

    def _keepalive_after(self, conn: Connection, keepalive: bool) -> bool:
        """Called in the thread, after a reply: a body that nobody read is thrown away where it is here, and not waited for where it is not."""
        return bool(keepalive and not conn.unread() and conn.parser.finish_body())

    def murder_pending(self) -> None:
        """Called by gunicorn's loop about once a second: end what waits for too long."""
        now = time.monotonic()
        while self.pending_conns and self.pending_conns[0].timeout <= now:
            connection = self.pending_conns.popleft()
            with suppress(OSError, KeyError, ValueError):
                self.poller.unregister(connection.sock)
            self._end(connection, (408, TOO_SLOW) if connection.gathered and not connection.whole else None)
        for sock in [each for each, until in self.lingering.items() if until <= now]:
            self._let_go(sock)
        for each in [each for each in self.reading if each.due <= now]:
            self.reading.discard(each)
            with suppress(OSError):  # its thread finds the end of the body, however few bytes at a time have come
                each.sock.shutdown(socket.SHUT_RD)

    def _cap_keepalive(self, deadline: float) -> None:
        """Called by gunicorn where the worker stops: who has not sent a request by then is let go."""
        super()._cap_keepalive(deadline)
        for connection in self.pending_conns:
            connection.timeout = min(connection.timeout, deadline)

    def linger(self, sock: socket.socket) -> None:
        """Close for writing, and wholly once the client has closed or had its time, so that it can read its last reply (RFC 9112, 9.6)."""
        try:
            sock.shutdown(socket.SHUT_WR)
            sock.setblocking(False)
            self.poller.register(sock, selectors.EVENT_READ, self._drain)
        except (OSError, KeyError, ValueError, RuntimeError):
            util.close(sock)
            return
        self.lingering[sock] = time.monotonic() + LINGER_SECONDS

    def _drain(self, sock: socket.socket) -> None:
        try:
            left = sock.recv(PIECE)
        except (BlockingIOError, InterruptedError):
            return
        except OSError:
            left = b""
        if not left:
            self._let_go(sock)

    def _let_go(self, sock: socket.socket) -> None:
        self.lingering.pop(sock, None)
        with suppress(OSError, KeyError, ValueError):
            self.poller.unregister(sock)
        util.close(sock)

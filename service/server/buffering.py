"""A gunicorn worker whose threads never wait for clients: a request is handed to a thread once it has arrived completely.

The worker's event loop, which watches all connections at once, collects each request's head and its body up to a size limit. A
client that sends nothing, or half a request, costs a socket and some memory until its timeout, but no thread. Larger bodies are
read by a thread, with a time limit for each read.
"""

from __future__ import annotations

import errno
import logging
import math
import select
import selectors
import socket
import time
from collections import Counter
from contextlib import suppress
from functools import partial
from itertools import chain
from typing import Any, NamedTuple

from gunicorn import util
from gunicorn.workers import gthread

from service.http import problems
from service.server.connection import Connection, refusal
from service.server.lanes import Lanes
from service.server.request_head import Fault

_gthread: Any = gthread  # its type stubs are for an older release
STALLED_SECONDS = 2.0  # how long a response may make no progress while other requests wait for a thread
SIGN_SECONDS = 1.0  # between heartbeats to the master, whose timeout is far longer
GATHER_SECONDS = 20.0  # from when the loop begins to wait for a request until all of it has arrived
LINGER_SECONDS = 2.0  # for the client to read its last response and close; as in gunicorn, whose own wait blocks the loop
MOST_GATHERED = 256_000_000  # bytes of incomplete requests per worker
MOST_LINGERING = 500
ROOM, AT_ONCE = 50, 25  # places kept free for new connections; how many waiting connections are closed at a time to make room
PIECE = 65_536
log = logging.getLogger("service")
TOO_SLOW = "The request did not arrive completely in time: send it again."
TOO_MANY = "Too many requests are arriving at once. Try again later."
CROWDED = "Too many connections are open from this address. Close some, and try again."


def _awaited(connection: Connection) -> int:
    return selectors.EVENT_WRITE if connection.complete else selectors.EVENT_READ


def _writable(sock: socket.socket) -> bool:
    """Whether the kernel will buffer more for this client; uses `poll`, since `select` does not support descriptors beyond 1023."""
    asked = select.poll()
    asked.register(sock, select.POLLOUT)
    return bool(asked.poll(0))


class _Answered(NamedTuple):
    """The outcome of a handled request, with the interface of a future, which gunicorn expects. `stays`: the connection stays open."""

    stays: bool

    def cancelled(self) -> bool:
        """Always False: a thread finishes every request that it begins."""
        return False

    def result(self) -> bool:
        """Whether the connection stays open."""
        return self.stays


class PatientWorker(_gthread.ThreadWorker):  # type: ignore[misc]
    """gunicorn's threaded worker, with requests collected in its event loop. `most_body`: the largest body that is collected."""

    most_body = 2_000_000

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lingering: dict[socket.socket, float] = {}
        self.reading: set[Connection] = set()  # connections whose body a thread may be waiting for
        self.inside: dict[Connection, float] = {}  # connections whose request was handed to a thread, and when
        self.crowd: Counter[str] = Counter()  # number of connections per network
        self.held = 0  # bytes received of requests not yet handed to a thread
        self.sign_at = -math.inf  # when the next heartbeat is due

    def get_thread_pool(self) -> Lanes:
        """Called by gunicorn at the start."""
        return Lanes(self.cfg.threads)

    def notify(self) -> None:
        """Called in each round of the event loop: send a heartbeat to the master, but at most once a second. It modifies a file, which may wait
        for the disk while the database is being written, and all connections would wait with it.
        """
        now = time.monotonic()
        if now >= self.sign_at:
            self.sign_at = now + SIGN_SECONDS
            super().notify()

    def set_accept_enabled(self, enabled: bool) -> None:
        """Called in the event loop. When the worker stops, accept what is queued and then close the listeners, so that new clients are
        refused at once.
        """
        super().set_accept_enabled(enabled)
        if enabled or self.alive:
            return
        for listener in self.sockets:
            listener.setblocking(False)
            for _ in range(2 * self.worker_connections):
                if not self.accept(listener):
                    break
            listener.close()

    def accept(self, listener: socket.socket) -> bool:
        """Accept a new connection, if there is one; called when the listener is readable."""
        try:
            sock, address = listener.accept()
        except OSError as error:
            if error.errno in (errno.EMFILE, errno.ENFILE):
                self._free_descriptors()
            elif error.errno not in (errno.EAGAIN, errno.ECONNABORTED, errno.EWOULDBLOCK):
                raise
            return False
        self.nr_conns += 1
        connection = Connection(self, sock, address, listener.getsockname())
        self.crowd[connection.network] += 1
        if not self._has_room(connection):
            self._end(connection, Fault(503, CROWDED))
        elif not self._take(connection):
            self._await(connection)
        return True

    def forget_closed(self, connection: Connection) -> None:
        """Stop counting a connection that has been closed."""
        if not connection.gone:
            connection.gone = True
            self._count(connection, 0)
            self.crowd[connection.network] -= 1
            if not self.crowd[connection.network]:
                del self.crowd[connection.network]

    def _count(self, connection: Connection, many: int) -> None:
        """Record how many bytes of a connection are buffered here."""
        self.held += many - connection.counted
        connection.counted = many

    def _has_room(self, connection: Connection) -> bool:
        """Whether a new connection may stay. One network may hold half of the places, and a few are always kept free: those waiting
        longest are closed.
        """
        if self.crowd[connection.network] > self.worker_connections // 2:
            return self._let_wait_no_longer(connection.network, 1)
        if self.nr_conns > self.worker_connections - ROOM:
            self._thin_out()
        return True

    def _thin_out(self) -> None:
        """Close some idle connections of the network that has the most of them."""
        waiting = Counter(each.network for each in chain(self.keepalived_conns, self.pending_conns))
        for crowded, _ in waiting.most_common(1):
            self._let_wait_no_longer(crowded, AT_ONCE)

    def _let_wait_no_longer(self, crowded: str, most: int) -> bool:
        """Close up to `most` connections of a network that are idle or have sent half a request; False if there are none."""
        idle = [each for each in self.keepalived_conns if each.network == crowded][:most]
        halves = [each for each in self.pending_conns if each.network == crowded][: most - len(idle)]
        for each in (*idle, *halves):
            (self.keepalived_conns if each in idle else self.pending_conns).remove(each)
            self._end(each, Fault(503, CROWDED) if each.gathered and not each.complete else None)
        return bool(idle or halves)

    def _free_descriptors(self) -> None:
        """This process has run out of file descriptors: close connections already answered, and some idle ones."""
        for sock in list(self.lingering):
            self._let_go(sock)
        self._thin_out()
        time.sleep(0.01)  # the listener stays readable, and a loop that keeps failing would starve the threads

    def on_client_socket_readable(self, conn: Connection, client: socket.socket) -> None:
        """The next request on a kept-alive connection begins to arrive."""
        if conn.gone:  # closed since this round of events began
            return
        self.poller.unregister(client)
        conn.watched = False
        if self.keepalived_conns[0] is conn:  # the one that has waited longest is the most likely
            self.keepalived_conns.popleft()
        else:
            self.keepalived_conns.remove(conn)
        if not self._take(conn):
            self._await(conn)

    def _await(self, connection: Connection) -> None:
        connection.watched = True
        connection.timeout = time.monotonic() + (GATHER_SECONDS if self.alive else LINGER_SECONDS)
        self.pending_conns.append(connection)
        self.poller.register(connection.sock, _awaited(connection), partial(self._more, connection))

    def _more(self, connection: Connection, client: socket.socket) -> None:
        if connection.gone:
            return
        if self._start(connection) if connection.complete else self._take(connection):
            self.pending_conns.remove(connection)
        else:
            self.poller.modify(client, _awaited(connection), partial(self._more, connection))

    def _take(self, connection: Connection) -> bool:
        """Read what is available. True if the loop is done with the connection: it was handed to a thread or closed."""
        try:
            piece = connection.sock.recv(PIECE)
        except (BlockingIOError, InterruptedError):
            return False
        except OSError:
            piece = b""
        if not piece:
            self._end(connection, None)
            return True
        return self._judge(connection, piece)

    def _judge(self, connection: Connection, piece: bytes) -> bool:
        """Like `_take`, for bytes already read."""
        try:
            fault = connection.add(piece)
            arrived = fault is None and connection.arrived(self.most_body)
        except OSError:
            self._end(connection, None)
            return True
        except Exception:  # one request must not end the event loop shared by all connections
            log.exception("the beginning of a request could not be read")
            fault, arrived = Fault(500, problems.DETAILS[500]), True
        self._count(connection, len(connection.gathered))
        if fault is None and self.held > MOST_GATHERED:
            fault = Fault(503, TOO_MANY)
        if fault is not None:
            self._end(connection, fault)
            return True
        return arrived and self._start(connection)

    def _start(self, connection: Connection) -> bool:
        """Hand the request to a thread, unless the client reads no responses: they would fill the kernel's buffer, and then the thread
        would block.
        """
        taken = not connection.served or _writable(connection.sock)
        connection.complete = not taken
        if taken:
            self._forget(connection)
            self.enqueue_req(connection)
        return taken

    def enqueue_req(self, conn: Connection) -> None:
        """Hand the request to a thread; if the thread has to read from the client, keep watch over its deadline."""
        if conn.due < math.inf:
            self.reading.add(conn)
        self.inside[conn] = time.monotonic()
        conn.lane = self.tpool.submit(self.handle, conn, self._handled)

    def _handled(self, connection: Connection, stays: bool) -> None:
        """Called in the thread: tell the event loop."""
        self.method_queue.defer(self.finish_request, connection, _Answered(stays))

    def finish_request(self, conn: Connection, fs: _Answered) -> None:
        """Called in the event loop after a response: bytes sent after the request begin the next one, and its remainder is awaited
        here too.
        """
        if conn.lane is not None:
            conn.lane.finished()
            conn.lane = None
        self.reading.discard(conn)
        self.inside.pop(conn, None)
        conn.due, conn.served = math.inf, True
        ahead = conn.parser.unreader.take_buffered() if fs.stays else b""
        if not ahead:
            super().finish_request(conn, fs)
            conn.watched = True  # kept alive, unless it is closed
            return
        conn.sock.setblocking(False)
        if not self._judge(conn, ahead):
            self._await(conn)

    def _forget(self, connection: Connection) -> None:
        """Stop waiting for a connection."""
        self._count(connection, 0)
        if connection.watched:
            connection.watched = False
            with suppress(OSError, KeyError, ValueError):
                self.poller.unregister(connection.sock)

    def _end(self, connection: Connection, fault: Fault | None) -> None:
        """Close a connection whose request never reached a thread, with a refusal or without a response."""
        self.nr_conns -= 1
        self._forget(connection)
        self.forget_closed(connection)
        if fault is None:
            util.close(connection.sock)
            return
        with suppress(OSError):
            connection.sock.send(refusal(fault))
        self.linger(connection.sock)

    def _keepalive_after(self, conn: Connection, keepalive: bool) -> bool:
        """Called in the thread after a response: an unread body is discarded if it has already arrived, but not waited for."""
        return bool(keepalive and not conn.unread() and conn.parser.finish_body())

    def murder_pending(self) -> None:
        """Called by gunicorn's loop about once a second: close what has waited too long."""
        now = time.monotonic()
        while self.pending_conns and self.pending_conns[0].timeout <= now:
            connection = self.pending_conns.popleft()
            self._end(connection, Fault(408, TOO_SLOW) if connection.gathered and not connection.complete else None)
        for sock in [each for each, until in self.lingering.items() if until <= now]:
            self._let_go(sock)
        for each in [each for each in self.reading if each.due <= now]:
            self.reading.discard(each)
            with suppress(OSError):  # the thread then sees the end of the body, even if bytes kept trickling in
                each.sock.shutdown(socket.SHUT_RD)
        self._free_threads(now)

    def _free_threads(self, now: float) -> None:
        """If requests are waiting for a thread, abort responses that make no progress because the client reads nothing and the kernel's buffer
        is full. Otherwise a large response to such a client would occupy its thread until the write times out.
        """
        for each in [
            each for each, since in self.inside.items() if since + STALLED_SECONDS <= now and each.lane is not None and each.lane.full
        ]:
            with suppress(OSError, ValueError):  # ValueError: closed meanwhile
                if not _writable(each.sock):
                    each.sock.shutdown(socket.SHUT_RDWR)

    def _cap_keepalive(self, deadline: float) -> None:
        """Called by gunicorn when the worker stops: clients that have not sent a request by the deadline are disconnected."""
        super()._cap_keepalive(deadline)
        for connection in self.pending_conns:
            connection.timeout = min(connection.timeout, deadline)

    def linger(self, sock: socket.socket) -> None:
        """Close for writing, and fully once the client has closed or its time is up, so that it can read its last response (RFC 9112,
        9.6).
        """
        if len(self.lingering) >= MOST_LINGERING:
            util.close(sock)
            return
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

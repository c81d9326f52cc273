"""Hands computations over to computing processes: the caller sends one end of a new socket pair, and a computing process receives it.
One hatch serves all processes forked after it was created. The kernel keeps the queue, which is short, and delivers each entry to
exactly one process.
"""

from __future__ import annotations

import os
import select
import socket
import struct
import time
from multiprocessing.connection import Connection
from types import TracebackType
from typing import NamedTuple, Self

from service.computing.watch import Used, used

#: Bytes that can be written to a socket before anyone reads.
MOST_SENT = 65_536
#: Socket timeout, 30 seconds: each side reads at once whatever it is sent, so a longer silence means that the other side is stuck.
_PATIENCE = struct.pack("ll", 30, 0)
_TAKEN = struct.Struct("qddq")


class Full(Exception):
    """The queue is full."""


class Taken(NamedTuple):
    """The process that took the task, when (on the monotonic clock), and what it had used by then."""

    pid: int
    at: float
    used: Used


class Asked:
    """The caller's end. Which process took the task is reported through a separate pipe, so that only the answer wakes a caller waiting
    for the answer.
    """

    def __init__(self, conversation: Connection, taker_pipe: int) -> None:
        self.conversation, self._taker_pipe = conversation, taker_pipe
        self._taken: Taken | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        self.conversation.close()
        os.close(self._taker_pipe)

    def taken(self, seconds: float = 0) -> Taken | None:
        """The process that took the task, after waiting up to `seconds`; None if none has. Raises EOFError if that process ended
        while taking it.
        """
        if self._taken is None:
            waiting = select.poll()
            waiting.register(self._taker_pipe, select.POLLIN)
            if not waiting.poll(seconds * 1000):
                return None
            report = os.read(self._taker_pipe, _TAKEN.size)
            if not report:
                raise EOFError
            pid, at, *spent = _TAKEN.unpack(report)
            self._taken = Taken(pid, at, Used(*spent))
        return self._taken


class Hatch:
    """The queue of callers. Created before the processes on either side are forked."""

    def __init__(self) -> None:
        self._left, self._taken = socket.socketpair(socket.AF_UNIX, socket.SOCK_DGRAM)
        self._left.setblocking(False)

    def leave(self, message: bytes) -> Asked:
        """Join the queue; the process that takes the entry first reads `message`, at most MOST_SENT bytes. Raises Full."""
        mine, theirs = socket.socketpair()
        taker_pipe, pipe_end = os.pipe()
        asked = Asked(_connection_over(mine), taker_pipe)
        try:
            asked.conversation.send_bytes(message)
            socket.send_fds(self._left, [b"?"], [theirs.fileno(), pipe_end])
        except OSError:  # the kernel's queue is full, or holds too many descriptors
            with asked:
                raise Full from None
        finally:
            theirs.close()
            os.close(pipe_end)
        return asked

    def take(self) -> Connection:
        """Wait for the next caller in the queue, tell it which process took its task, and return the connection to it."""
        while True:
            _, received, _, _ = socket.recv_fds(self._taken, 1, 2)
            if len(received) != 2:
                for descriptor in received:
                    os.close(descriptor)
                continue
            end, pipe_end = received
            try:
                os.write(pipe_end, _TAKEN.pack(os.getpid(), time.monotonic(), *used(os.getpid())))
            except OSError:  # the caller is gone
                os.close(end)
                continue
            finally:
                os.close(pipe_end)
            return _connection_over(socket.socket(fileno=end))

    def close(self) -> None:
        """Close this process's copies of the descriptors."""
        self._left.close()
        self._taken.close()


def _connection_over(end: socket.socket) -> Connection:
    for option in (socket.SO_SNDTIMEO, socket.SO_RCVTIMEO):
        end.setsockopt(socket.SOL_SOCKET, option, _PATIENCE)
    return Connection(end.detach())

"""One delivery attempt: a POST to a checked address, with a time limit for all of it, reading no more of the response than shows the
result.

Plain sockets are used instead of a client library: a library would resolve the name again, follow proxy settings from the
environment, and restart its timeout with every byte that arrives.
"""

from __future__ import annotations

import re
import socket
import ssl
import time
from collections.abc import Mapping, Sequence
from contextlib import suppress
from email.utils import parsedate_to_datetime
from typing import NamedTuple

from service.webhooks.target import Target

MOST_REPLY = 8192  # bytes
POLITE_SECONDS = 1.0  # for the rest of a response that is not needed
AGENT = "wire-replacement-quotes"
_STATUS = re.compile(rb"HTTP/1\.[01] ([1-5][0-9][0-9])(?: [^\r\n]*)?\r?\n")
_RETRY_AFTER = re.compile(rb"^retry-after:[ \t]*([^\r\n]*?)[ \t]*\r?$", re.IGNORECASE | re.MULTILINE)
_END = re.compile(rb"\r?\n\r?\n")


class NotSent(Exception):
    """No response was received; the message says why, without naming the address."""


class Reply(NamedTuple):
    """The receiver's response. `wait`: the seconds it asks to wait, if it does."""

    status: int
    wait: float | None


def post(
    target: Target, addresses: Sequence[str], headers: Mapping[str, str], body: bytes, seconds: float, context: ssl.SSLContext
) -> Reply:
    """Send to the first checked address that accepts a connection, all within `seconds`. Raises NotSent."""
    until = time.monotonic() + seconds
    try:
        with _connected(target, addresses, until, context) as connection:
            connection.settimeout(_time_left(until))
            connection.sendall(_request(target, headers, body))
            reply = _reply(connection, until)
            _rest(connection, until)
            return reply
    except TimeoutError:
        raise NotSent(f"no reply within {seconds:g} s") from None
    except ssl.SSLCertVerificationError as error:
        raise NotSent(f"its certificate is refused: {error.verify_message}") from None
    except ssl.SSLError as error:
        raise NotSent(f"TLS failed: {error.reason}") from None
    except ConnectionRefusedError:
        raise NotSent("nothing is listening there") from None
    except OSError as error:
        raise NotSent(f"the connection failed: {type(error).__name__}") from None


def _time_left(until: float) -> float:
    left = until - time.monotonic()
    if left <= 0:
        raise TimeoutError
    return left


def _connected(target: Target, addresses: Sequence[str], until: float, context: ssl.SSLContext) -> socket.socket:
    last: OSError = ConnectionRefusedError()
    for at, address in enumerate(addresses):
        share = _time_left(until) / (len(addresses) - at)  # an unresponsive address leaves time for the others
        try:
            plain = socket.create_connection((address, target.port), timeout=share)
        except OSError as error:
            last = error
            continue
        if not target.secure:
            return plain
        try:
            plain.settimeout(_time_left(until))
            return context.wrap_socket(plain, server_hostname=target.host.rstrip("."))
        except BaseException:
            plain.close()
            raise
    raise last


def _request(target: Target, headers: Mapping[str, str], body: bytes) -> bytes:
    fields = {
        "Host": target.authority,
        "User-Agent": AGENT,
        "Content-Type": "application/json",
        "Content-Length": str(len(body)),
        "Connection": "close",
        **headers,
    }
    head = "".join(f"{name}: {value}\r\n" for name, value in fields.items())
    return f"POST {target.path} HTTP/1.1\r\n{head}\r\n".encode("ascii") + body


def _reply(connection: socket.socket, until: float) -> Reply:
    got = b""
    while True:
        ended = _END.search(got)
        status = _STATUS.match(got)
        if ended is not None or len(got) >= MOST_REPLY:
            if status is None:
                raise NotSent("its reply is not HTTP")
            if not status[1].startswith(b"1"):
                return Reply(int(status[1]), _wait(got[: ended.start()] if ended else got))
            if ended is None:
                raise NotSent("its reply is too long")
            got = got[ended.end() :]  # 100 Continue and the like: the final response is still to come
            continue
        connection.settimeout(_time_left(until))
        piece = connection.recv(MOST_REPLY - len(got))
        if not piece:
            raise NotSent("it closed the connection before its reply was complete")
        got += piece


def _wait(head: bytes) -> float | None:
    found = _RETRY_AFTER.search(head)
    if found is None:
        return None
    value = found[1].decode("latin-1")
    if value.isascii() and value.isdigit():
        return float(value[:9])
    with suppress(ValueError, TypeError):
        return max(parsedate_to_datetime(value).timestamp() - time.time(), 0.0)
    return None


def _rest(connection: socket.socket, until: float) -> None:
    """Read a little further, ignoring the data, so that a receiver still writing is not cut off."""
    end, left = min(until, time.monotonic() + POLITE_SECONDS), MOST_REPLY
    with suppress(OSError):
        while left > 0:
            connection.settimeout(_time_left(end))
            piece = connection.recv(left)
            if not piece:
                return
            left -= len(piece)

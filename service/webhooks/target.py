"""The target of a message: an endpoint's URL, parsed strictly, and its host name, resolved once to addresses that are all allowed.

The sender connects to one of these addresses and does not resolve the name again, so a name that later resolves differently gains
nothing. Ports are not restricted: nothing is sent before TLS has verified the name.
"""

from __future__ import annotations

import re
import socket
import threading
from collections.abc import Callable
from typing import Any, NamedTuple
from urllib.parse import urlsplit

from service.webhooks.addresses import allowed, loopback

MOST_CHARACTERS = 2000
_HOST = re.compile(r"[a-z0-9]([a-z0-9._-]*[a-z0-9])?\.?", re.ASCII)
PORTS = {"https": 443, "http": 80}
Lookup = Callable[..., list[Any]]


class NoTarget(ValueError):
    """Nothing can be sent to this URL; the message says why, without repeating the URL."""


class Target(NamedTuple):
    """An endpoint's URL in parts; `path` includes the query."""

    secure: bool
    host: str
    port: int
    path: str

    @property
    def authority(self) -> str:
        """The value of the `Host` header."""
        host = f"[{self.host}]" if ":" in self.host else self.host
        return host if self.port == PORTS["https" if self.secure else "http"] else f"{host}:{self.port}"


def target_of(url: str, *, private: bool) -> Target:
    """Parse a URL. `private`: http is also accepted, but only for this machine (enforced by `resolved`). Raises NoTarget."""
    if not re.fullmatch(r"[!-~]+", url, re.ASCII) or len(url) > MOST_CHARACTERS:
        raise NoTarget(
            f"an address is at most {MOST_CHARACTERS} printable ASCII characters without a space; a name in other letters is written xn--..."
        )
    try:
        parts = urlsplit(url)
        host, port = parts.hostname or "", parts.port
    except ValueError:
        raise NoTarget("its host or port cannot be read") from None
    if parts.scheme != "https" and not (private and parts.scheme == "http"):
        raise NoTarget("it must begin with https://")
    if "@" in parts.netloc or "#" in url:
        raise NoTarget("it must have neither a user nor a fragment")
    if not (_HOST.fullmatch(host) or ("[" in parts.netloc and ":" in host)) or port == 0:
        raise NoTarget("its host or port cannot be read")
    path = (parts.path or "/") + (f"?{parts.query}" if parts.query else "")
    return Target(parts.scheme == "https", host, port or PORTS[parts.scheme], path)


def resolved(target: Target, seconds: float, *, private: bool, lookup: Lookup | None = None) -> list[str]:
    """The addresses of a target's name, each of them checked. Raises NoTarget, also if that takes longer than `seconds`."""
    found = _looked_up(target, seconds, lookup or socket.getaddrinfo)
    if not found:
        raise NoTarget("its name cannot be resolved")
    if not all(allowed(each, private=private) for each in found):
        raise NoTarget("its name resolves to an address that is not public")
    if not target.secure and not all(map(loopback, found)):
        raise NoTarget("http is for this machine alone: it must begin with https://")
    return found


def _looked_up(target: Target, seconds: float, lookup: Lookup) -> list[str]:
    """Resolve the name in a separate thread, since the resolver has no timeout."""
    found: list[str] = []

    def look() -> None:
        try:
            rows = lookup(target.host, target.port, type=socket.SOCK_STREAM)
        except (OSError, UnicodeError):
            return
        found.extend(dict.fromkeys(str(row[4][0]) for row in rows))

    looking = threading.Thread(target=look, name="resolver", daemon=True)
    looking.start()
    looking.join(max(seconds, 0.0))
    if looking.is_alive():
        raise NoTarget("its name was not resolved in time")
    return list(found)

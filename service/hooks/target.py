"""Where a message goes: an endpoint's address read strictly, and its name resolved once, to addresses that are all allowed.

Whoever sends connects to one of these addresses and resolves nothing again, so that a name that answers otherwise the second time gains nothing.
Ports are not limited: nothing is sent before TLS has verified the name.
"""

from __future__ import annotations

import re
import socket
import threading
from collections.abc import Callable
from typing import Any, NamedTuple
from urllib.parse import urlsplit

from service.hooks.addresses import allowed, loopback

MOST_CHARACTERS = 2000
_HOST = re.compile(r"[a-z0-9]([a-z0-9._-]*[a-z0-9])?\.?", re.ASCII)
PORTS = {"https": 443, "http": 80}
Lookup = Callable[..., list[Any]]


class NoTarget(ValueError):
    """Nothing can be sent there; says why, without the address."""


class Target(NamedTuple):
    """An endpoint's address in parts; `path` with its query."""

    secure: bool
    host: str
    port: int
    path: str

    @property
    def authority(self) -> str:
        """What stands in `Host`."""
        host = f"[{self.host}]" if ":" in self.host else self.host
        return host if self.port == PORTS["https" if self.secure else "http"] else f"{host}:{self.port}"


def target_of(url: str, *, private: bool) -> Target:
    """An address in parts. `private`: http is taken as well, for this machine alone (`resolved` sees to it). Raises NoTarget."""
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
        raise NoTarget("it has neither a user nor a fragment")
    if not (_HOST.fullmatch(host) or ("[" in parts.netloc and ":" in host)) or port == 0:
        raise NoTarget("its host or port cannot be read")
    path = (parts.path or "/") + (f"?{parts.query}" if parts.query else "")
    return Target(parts.scheme == "https", host, port or PORTS[parts.scheme], path)


def resolved(target: Target, seconds: float, *, private: bool, lookup: Lookup | None = None) -> list[str]:
    """The addresses of a target's name, every one of them checked. Raises NoTarget, also where that takes longer than `seconds`."""
    found = _looked_up(target, seconds, lookup or socket.getaddrinfo)
    if not found:
        raise NoTarget("its name is not known")
    if not all(allowed(each, private=private) for each in found):
        raise NoTarget("its name leads to an address that is not of the internet")
    if not target.secure and not all(map(loopback, found)):
        raise NoTarget("http is for this machine alone: it must begin with https://")
    return found


def _looked_up(target: Target, seconds: float, lookup: Lookup) -> list[str]:
    """In a thread of its own, since a resolver cannot be told to hurry."""
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

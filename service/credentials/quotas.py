"""Requests allowed per minute, by kind of key and kind of request; wrong e-mail addresses per hour. `SERVICE_RATE_LIMITS` changes any of
them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from service.credentials.keys import Kind

WINDOW_SECONDS = 60
HOUR_SECONDS = 3600
WRONG_KEYS = "wrong.keys"  # counted per network address that presents them
WRONG_ADDRESSES = "wrong.addresses"  # e-mail addresses tried with a reading link, counted per quote
RATES = ("quotes", "plans", "reads", "drawings")
_PLENTY = 600_000  # someone trying the service on one machine is never stopped, but sees what a limit looks like
USUAL: Mapping[str, int] = {
    "secret.quotes": 6_000, "secret.plans": 600, "secret.reads": 60_000, "secret.drawings": 6_000,
    "publishable.quotes": 300, "publishable.plans": 1, "publishable.reads": 3_000, "publishable.drawings": 1_500,
    "link.quotes": 30, "link.plans": 1, "link.reads": 120, "link.drawings": 1,
    "reading.quotes": 30, "reading.plans": 1, "reading.reads": 120, "reading.drawings": 1,
    "person.quotes": 600, "person.plans": 120, "person.reads": 6_000, "person.drawings": 600,
    "demo.quotes": _PLENTY, "demo.plans": _PLENTY, "demo.reads": _PLENTY, "demo.drawings": _PLENTY,
    WRONG_KEYS: 100, WRONG_ADDRESSES: 5,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Policy:
    """`quota` requests at once, then as many again over `window` seconds, one by one."""

    name: str
    quota: int
    window: int = WINDOW_SECONDS

    @property
    def interval(self) -> float:
        """Seconds until one request becomes available again."""
        return self.window / self.quota


def policy_for(kind: Kind, rate: str, changed: Mapping[str, int]) -> Policy:
    """The policy for a kind of key and a kind of request."""
    return policy_named(f"{kind.value}.{rate}", changed)


def policy_named(name: str, changed: Mapping[str, int]) -> Policy:
    """The policy with this name."""
    return Policy(name, changed.get(name, USUAL[name]), HOUR_SECONDS if name == WRONG_ADDRESSES else WINDOW_SECONDS)


def read_limits(text: str) -> dict[str, int]:
    """Parse `publishable.quotes=60, secret.plans=30`: requests per minute, or hour (see above). Raises ValueError stating what is expected."""
    found: dict[str, int] = {}
    for part in text.split(","):
        name, _, number = (each.strip() for each in part.partition("="))
        if name not in USUAL or not (number.isascii() and number.isdigit() and 1 <= int(number) <= 10_000_000):
            raise ValueError(f"pairs such as publishable.quotes=60 with commas between them, a minute, of {', '.join(USUAL)}")
        found[name] = int(number)
    return found

"""How many requests a minute, by who asks and what for. `SERVICE_LIMITS` changes any of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from service.guard.keys import Kind

WINDOW_SECONDS = 60
WRONG_KEYS = "wrong.keys"  # by the address that shows them
RATES = ("quotes", "plans", "reads")
_PLENTY = 600_000  # who tries the service out on one machine is not stopped, and sees what a limit looks like
USUAL: Mapping[str, int] = {
    "secret.quotes": 6_000, "secret.plans": 600, "secret.reads": 60_000,
    "publishable.quotes": 300, "publishable.plans": 1, "publishable.reads": 3_000,
    "link.quotes": 30, "link.plans": 1, "link.reads": 120,
    "demo.quotes": _PLENTY, "demo.plans": _PLENTY, "demo.reads": _PLENTY,
    WRONG_KEYS: 100,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Policy:
    """`quota` requests at once, and as many again over `WINDOW_SECONDS`, one by one."""

    name: str
    quota: int

    @property
    def interval(self) -> float:
        """Seconds in which one request comes back."""
        return WINDOW_SECONDS / self.quota


def policy_for(kind: Kind, rate: str, changed: Mapping[str, int]) -> Policy:
    """The policy of a kind of key for a kind of request."""
    return policy_named(f"{kind.value}.{rate}", changed)


def policy_named(name: str, changed: Mapping[str, int]) -> Policy:
    """The policy of that name."""
    return Policy(name, changed.get(name, USUAL[name]))


def read_limits(text: str) -> dict[str, int]:
    """`publishable.quotes=60, secret.plans=30`: requests a minute. Raises ValueError that says what is expected."""
    found: dict[str, int] = {}
    for part in text.split(","):
        name, _, number = (each.strip() for each in part.partition("="))
        if name not in USUAL or not (number.isascii() and number.isdigit() and 1 <= int(number) <= 10_000_000):
            raise ValueError(f"pairs such as publishable.quotes=60 with commas between them, a minute, of {', '.join(USUAL)}")
        found[name] = int(number)
    return found

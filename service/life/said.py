"""What the one who acts says with a step: small frozen records of a request's body."""

from __future__ import annotations

from dataclasses import dataclass

from pricing.as_built import Finished


@dataclass(frozen=True, slots=True)
class AcceptingCustomer:
    """Who accepts."""

    name: str


@dataclass(frozen=True, slots=True)
class Acceptance:
    """A customer's yes."""

    customer: AcceptingCustomer
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Ending:
    """A customer's no, or the shop's withdrawal: who says so and why."""

    by: str | None = None
    reason: str | None = None


@dataclass(frozen=True, slots=True)
class LinkOrder:
    """A link asked for: for how many days."""

    days: int = 30


@dataclass(frozen=True, slots=True)
class BuiltRecord:
    """What the bench built: by whom, and each finished assembly as measured."""

    assemblies: tuple[Finished, ...]
    by: str | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Taking:
    """Who moves wire on or off the shelf, and what is to be remembered of it."""

    by: str | None = None
    note: str | None = None

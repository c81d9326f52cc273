"""Request bodies of lifecycle steps, as small frozen records."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from pricing.records.as_built import Finished


@dataclass(frozen=True, slots=True)
class AcceptingCustomer:
    """The customer who accepts. `email` is required from a reading link, is compared with the quote's, and is not stored."""

    name: str
    email: str | None = None


@dataclass(frozen=True, slots=True)
class Acceptance:
    """A customer's acceptance. If findings are still open, `open` is `as_listed` and `understood` is the customer's statement about them."""

    customer: AcceptingCustomer
    note: str | None = None
    open: str | None = None
    understood: str | None = None


@dataclass(frozen=True, slots=True)
class Measured:
    """A new measurement that settles a finding: a JSON Pointer into the request, and the value to put there."""

    pointer: str
    value: Any


@dataclass(frozen=True, slots=True)
class SettlementOrder:
    """An answer to one finding, by its code and pointer; `tag` is left out for a finding of the whole quote. `by` is the person who gives it."""

    code: str
    pointer: str
    words: str
    by: str
    tag: str | None = None
    measured: tuple[Measured, ...] = ()


@dataclass(frozen=True, slots=True)
class SettlementOrders:
    """Several answers at once."""

    settlements: tuple[SettlementOrder, ...]


@dataclass(frozen=True, slots=True)
class Undoing:
    """Why a settlement is undone, and by whom."""

    by: str
    reason: str


@dataclass(frozen=True, slots=True)
class Cancelling:
    """Why the shop cancels an accepted quote, and by whom."""

    reason: str
    by: str | None = None


@dataclass(frozen=True, slots=True)
class Handover:
    """Who handed the wires over, and to whom."""

    by: str | None = None
    to: str | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Ending:
    """A customer's refusal, or the shop's withdrawal: by whom and why."""

    by: str | None = None
    reason: str | None = None


@dataclass(frozen=True, slots=True)
class DecliningCustomer:
    """The customer who declines, by a reading link: `email` as in `AcceptingCustomer`."""

    email: str


@dataclass(frozen=True, slots=True)
class Declining(Ending):
    """A customer's refusal."""

    customer: DecliningCustomer | None = None


@dataclass(frozen=True, slots=True)
class Asking:
    """A customer's question to the shop."""

    words: str


@dataclass(frozen=True, slots=True)
class Answering:
    """The shop's answer to a question, and who gives it."""

    words: str
    by: str


@dataclass(frozen=True, slots=True)
class LinkOrder:
    """A request for a link: the most days for which it is valid; None for as long as a link to this quote can be."""

    days: int | None = None


@dataclass(frozen=True, slots=True)
class LinkEnding:
    """Who ends the links to a quote."""

    by: str | None = None


@dataclass(frozen=True, slots=True)
class BuiltRecord:
    """What the bench built: by whom, and each finished assembly as measured."""

    assemblies: tuple[Finished, ...]
    by: str | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class MovementOrder:
    """Who moves wire on or off the shelf, with a note."""

    by: str | None = None
    note: str | None = None

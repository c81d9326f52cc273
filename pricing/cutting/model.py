"""The order and the plan, as the caller sees them: millimetres and money as Decimal."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum


class Source(StrEnum):
    """Where a stock object comes from."""

    NEW = "new"
    OPENED = "opened"
    OFFCUT = "offcut"


@dataclass(frozen=True, slots=True)
class Piece:
    """`quantity` equal pieces of `length` mm; pieces of one `group` should come off one stock object."""

    length: Decimal
    quantity: int = 1
    label: str = ""
    group: str | None = None


@dataclass(frozen=True, slots=True)
class Stock:
    """A row of stock: `length` mm, worth either `price` (the whole object) or `price_per_metre`.

    `count` None is unlimited, for new spools only. `touch` overrides the policy's touch cost.
    """

    id: str
    length: Decimal
    source: Source = Source.NEW
    price: Decimal | None = None
    price_per_metre: Decimal | None = None
    count: int | None = 1
    touch: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Policy:
    """The shop's terms: mm and money.

    `rest_fee` is what keeping a rest costs once; Decimal("Infinity") is wire bought for the job, whose
    rest is worth nothing. `minor_digits` is the currency's number of decimals (ISO 4217).
    """

    allowance: Decimal = Decimal(0)
    least_rest: Decimal = Decimal(0)
    touch: Decimal = Decimal(0)
    rest_fee: Decimal = Decimal(0)
    minor_digits: int = 2


@dataclass(frozen=True, slots=True)
class Limits:
    """How far to climb. All limits but `seconds` count steps, so that equal input gives an equal plan.

    `column_work` counts the steps of all pricings, some hundred million a second. Columns, which may take seconds, are left out once the gap is at most one part in `close` of the cost; 0: never.
    `seconds` needs `clock`, any function that gives seconds; with it the plan may depend on the machine.
    """

    first_rung_only: bool = False
    transitions: int = 600_000
    table_work: int = 400_000
    fill_tries: int = 24
    fill_pieces: int = 100_000
    pack_nodes: int = 1_500
    close: int = 2_000
    column_rounds: int = 400
    column_work: int = 10_000_000_000
    dives: int = 6
    mip_bins: int = 4_000
    mip_nodes: int = 200
    seconds: float | None = None
    clock: Callable[[], float] | None = None


@dataclass(frozen=True, slots=True)
class Cut:
    """One piece on its stock object, from `start` to `end` mm; its allowance follows it."""

    length: Decimal
    start: Decimal
    end: Decimal
    label: str
    group: str | None
    row: int


@dataclass(frozen=True, slots=True)
class Use:
    """One touched stock object with its cuts in order; `rest` mm is kept as `rest_id`, or scrap (None)."""

    stock_id: str
    object_id: str
    source: Source
    length: Decimal
    cuts: tuple[Cut, ...]
    used: Decimal
    rest: Decimal
    rest_id: str | None
    rest_value: Decimal
    cost: Decimal

    @property
    def kept(self) -> bool:
        """Whether the rest goes back to stock."""
        return self.rest_id is not None


@dataclass(frozen=True, slots=True)
class Unplanned:
    """Pieces without a place: `reason` is `longer_than_any_stock` or `stock_exhausted`."""

    row: int
    label: str
    length: Decimal
    quantity: int
    reason: str


@dataclass(frozen=True, slots=True)
class Note:
    """Something the bench should know; no rule of the plan is broken."""

    code: str
    message: str
    subject: str


@dataclass(frozen=True, slots=True)
class Totals:
    """Millimetres over all touched objects: stock = pieces + allowances + kept + scrap."""

    stock: Decimal
    pieces: Decimal
    allowances: Decimal
    kept: Decimal
    scrap: Decimal


@dataclass(frozen=True, slots=True)
class Plan:
    """Cuts, their real cost, and how good they are shown to be.

    No plan of the planned pieces costs less than `lower_bound`; `proven` says that `cost` equals it and
    that no other choice of pieces would have planned more length. `stage` names the rung that found
    the plan, `bound_stage` the one that gave the bound; `elapsed` seconds, only with a clock.
    """

    uses: tuple[Use, ...]
    unplanned: tuple[Unplanned, ...]
    notes: tuple[Note, ...]
    totals: Totals
    cost: Decimal
    lower_bound: Decimal
    gap: Decimal
    proven: bool
    stage: str
    bound_stage: str
    elapsed: float | None

    @property
    def gap_share(self) -> Decimal:
        """The gap as a share of the lower bound (0 where both are 0)."""
        return self.gap / self.lower_bound if self.lower_bound else Decimal(0 if not self.gap else 1)

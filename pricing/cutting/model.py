"""The order and the plan as the caller sees them: millimetres and money as Decimal."""

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
    """`quantity` equal pieces of `length` mm; pieces of one `group` should be cut from one stock object."""

    length: Decimal
    quantity: int = 1
    label: str = ""
    group: str | None = None


@dataclass(frozen=True, slots=True)
class Stock:
    """A row of stock: `length` mm, valued at either `price` (the whole object) or `price_per_metre`.

    `count` None means unlimited, for new spools only. `touch` overrides the policy's touch cost.
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
    """The shop's cutting terms, in mm and money.

    `remnant_fee` is the one-time cost of keeping a remnant; Decimal("Infinity") means wire bought for the job, whose remnant is worth nothing.
    `minor_digits` is the currency's number of decimals (ISO 4217).
    """

    allowance: Decimal = Decimal(0)
    least_remnant: Decimal = Decimal(0)
    touch: Decimal = Decimal(0)
    remnant_fee: Decimal = Decimal(0)
    minor_digits: int = 2


@dataclass(frozen=True, slots=True)
class Limits:
    """How far to climb the ladder of methods. All limits except `seconds` count steps, so that equal input gives an equal plan.

    `work` counts the steps of everything except pricing, about a thousand million per second; the first plan is always made. `column_work`
    counts the steps of all pricings, some hundred million per second. Column generation, which may take seconds, is skipped once the gap
    is at most one part in `close` of the cost (0: never skipped). `seconds` needs `clock`, any function that returns seconds; with it the
    plan may depend on the machine.
    """

    first_rung_only: bool = False
    work: int = 500_000_000_000
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
    """One piece on its stock object, from `start` to `end` mm; followed by its allowance."""

    length: Decimal
    start: Decimal
    end: Decimal
    label: str
    group: str | None
    row: int


@dataclass(frozen=True, slots=True)
class Use:
    """One touched stock object with its cuts in order; `remnant` mm is kept as `remnant_id`, or scrap (None)."""

    stock_id: str
    object_id: str
    source: Source
    length: Decimal
    cuts: tuple[Cut, ...]
    used: Decimal
    remnant: Decimal
    remnant_id: str | None
    remnant_value: Decimal
    cost: Decimal

    @property
    def kept(self) -> bool:
        """Whether the remnant goes back to stock."""
        return self.remnant_id is not None


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
    """Something the bench should know; it does not break any rule of the plan.

    `objects` are the stock objects that a split group's pieces are cut from; `remnant` is the length in mm of a remnant not worth keeping.
    """

    code: str
    subject: str
    objects: tuple[str, ...] = ()
    remnant: Decimal | None = None


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
    """The cuts, their true cost, and how good the plan is known to be.

    No plan of the planned pieces costs less than `lower_bound`; `proven` means that `cost` equals it and that no other choice of pieces
    would have planned more length. `stage` names the rung that found the plan, `bound_stage` the one that gave the bound; `elapsed` is in
    seconds, set only with a clock.
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
        """The gap as a share of the lower bound (0 if both are 0)."""
        return self.gap / self.lower_bound if self.lower_bound else Decimal(0 if not self.gap else 1)

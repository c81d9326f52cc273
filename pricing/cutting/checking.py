"""Validates an order before planning: reports every failure, each with a pointer."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from decimal import Decimal

from .errors import Failure, InvalidOrder
from .model import Limits, Piece, Policy, Source, Stock

#: 10 km of wire and a million pieces: beyond any real order, and safe in 64-bit sums.
LONGEST = Decimal(10_000_000)
MOST_PIECES = 1_000_000
DEAREST = Decimal(10_000_000)
_COUNTS = (
    "work",
    "transitions",
    "table_work",
    "fill_tries",
    "fill_pieces",
    "pack_nodes",
    "close",
    "column_rounds",
    "column_work",
    "dives",
    "mip_bins",
    "mip_nodes",
)


def check(pieces: Sequence[Piece], stock: Sequence[Stock], policy: Policy, limits: Limits) -> None:
    """Raise `InvalidOrder` with all failures, if there are any."""
    digits = policy.minor_digits if _is_integer(policy.minor_digits, 0, 4) else 4
    failures = [*_policy(policy, digits), *_limits(limits)]
    failures += [f for n, row in enumerate(pieces) for f in _piece(f"/pieces/{n}", row)]
    failures += [f for n, row in enumerate(stock) for f in _stock(f"/stock/{n}", row, digits)]
    failures += _across_rows(pieces, stock)
    if failures:
        raise InvalidOrder(tuple(failures))


def _is_integer(value: object, least: int, most: int) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and least <= value <= most


def _has_more_decimals(value: Decimal, digits: int) -> bool:
    """Whether the value has more decimals; tested exactly, since the decimal context would round first."""
    exponent = value.as_tuple().exponent
    if not isinstance(exponent, int) or exponent < -60:
        return True
    top, bottom = value.as_integer_ratio()
    scale: int = 10**digits
    return top * scale % bottom != 0


def _length(pointer: str, value: object, *, zero: bool) -> Iterator[Failure]:
    if not isinstance(value, Decimal) or not value.is_finite():
        yield Failure(pointer, "not_a_length", "a length is a finite Decimal in mm")
    elif value < 0 or (value == 0 and not zero):
        yield Failure(pointer, "not_positive", f"{value} mm is not {'zero or ' * zero}more than zero", value)
    elif value > LONGEST:
        yield Failure(pointer, "too_long", f"{value} mm is more than {LONGEST} mm", value)
    elif _has_more_decimals(value, 1):
        yield Failure(pointer, "too_fine", f"{value} mm is finer than 0.1 mm", value)


def _money(pointer: str, value: object, digits: int) -> Iterator[Failure]:
    if not isinstance(value, Decimal) or not value.is_finite():
        yield Failure(pointer, "not_an_amount", "an amount is a finite Decimal")
    elif value < 0:
        yield Failure(pointer, "negative_amount", f"{value} is less than zero", value)
    elif value > DEAREST:
        yield Failure(pointer, "amount_too_large", f"{value} is more than {DEAREST}", value)
    elif _has_more_decimals(value, digits):
        yield Failure(pointer, "too_many_decimals", f"{value} has more than the currency's {digits} decimals", value)


def _policy(policy: Policy, digits: int) -> Iterator[Failure]:
    if not _is_integer(policy.minor_digits, 0, 4):
        yield Failure("/policy/minor_digits", "not_minor_digits", "a currency has 0 to 4 decimals")
    yield from _length("/policy/allowance", policy.allowance, zero=True)
    yield from _length("/policy/least_remnant", policy.least_remnant, zero=True)
    yield from _money("/policy/touch", policy.touch, digits)
    fee: object = policy.remnant_fee
    if not (isinstance(fee, Decimal) and fee.is_infinite() and fee > 0):
        yield from _money("/policy/remnant_fee", fee, digits)


def _limits(limits: Limits) -> Iterator[Failure]:
    for name in _COUNTS:
        if not _is_integer(getattr(limits, name), 0, 10**12):
            yield Failure(f"/limits/{name}", "not_a_count", "a limit is a whole number, zero or more")
    seconds: object = limits.seconds
    if seconds is None:
        return
    if limits.clock is None:
        yield Failure("/limits/seconds", "no_clock", "a limit in seconds needs a clock")
    if isinstance(seconds, bool) or not isinstance(seconds, int | float):
        yield Failure("/limits/seconds", "not_seconds", "a limit in seconds is a number")
    elif not seconds >= 0:
        yield Failure("/limits/seconds", "not_positive", "a limit in seconds is zero or more")


def _piece(pointer: str, piece: Piece) -> Iterator[Failure]:
    yield from _length(f"{pointer}/length", piece.length, zero=False)
    if not _is_integer(piece.quantity, 1, MOST_PIECES):
        yield Failure(f"{pointer}/quantity", "not_a_quantity", f"a quantity is a whole number, 1 to {MOST_PIECES}")


def _stock(pointer: str, row: Stock, digits: int) -> Iterator[Failure]:
    if not row.id:
        yield Failure(f"{pointer}/id", "no_id", "a stock row needs an id")
    yield from _length(f"{pointer}/length", row.length, zero=False)
    if (row.price is None) == (row.price_per_metre is None):
        yield Failure(f"{pointer}/price", "price_unclear", "give either price or price_per_metre")
    for name in ("price", "price_per_metre", "touch"):
        if getattr(row, name) is not None:
            yield from _money(f"{pointer}/{name}", getattr(row, name), digits)
    yield from _count(f"{pointer}/count", row)


def _count(pointer: str, row: Stock) -> Iterator[Failure]:
    if row.count is None and row.source is not Source.NEW:
        yield Failure(pointer, "not_unlimited", "only new spools come in unlimited number")
    if row.count is not None and not _is_integer(row.count, 0, 10**9):
        yield Failure(pointer, "not_a_count", "a count is a whole number, zero or more")


def _across_rows(pieces: Sequence[Piece], stock: Sequence[Stock]) -> Iterator[Failure]:
    if not stock:
        yield Failure("/stock", "no_stock", "there is no stock to cut from")
    first: dict[str, int] = {}
    for n, row in enumerate(stock):
        if first.setdefault(row.id, n) != n:
            yield Failure(f"/stock/{n}/id", "repeated_id", f"{row.id!r} is also row {first[row.id]}")
    count: Callable[[Piece], int] = lambda p: p.quantity if _is_integer(p.quantity, 0, MOST_PIECES) else 0  # noqa: E731
    if sum(map(count, pieces)) > MOST_PIECES:
        yield Failure("/pieces", "too_many_pieces", f"more than {MOST_PIECES} pieces")

"""Choosing a terminal from the catalogue: by wire, then by what the customer named. What is left open is chosen aloud or not at all."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import TYPE_CHECKING, Protocol, TypeVar

from pricing.findings import Finding, code, finding
from pricing.fittings.base import Asked, Misfit
from pricing.units import nominal

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.catalogue.rows import Terminal

NO_TERMINAL = code("no-terminal-for-wire", "stop", "The catalogue has no terminal of that family and attachment for that wire.")
SKU_MISFIT = code("sku-does-not-fit", "stop", "The article named is not a fitting of that family for that wire.")
PIN_MISFIT = code("pin-does-not-fit", "stop", "The pin named does not go through the fitting's hole, or rattles in it.")
THREAD_MISFIT = code("thread-not-available", "stop", "No stud for that wire has the thread asked for.")
THREAD_MISSING = code("thread-missing", "stop", "A stud's thread was not said and the wire leaves more than one possible.")
HAND_ASSUMED = code(
    "hand-assumed", "ask", "The hand of a stud's thread was not said and no turnbuckle tells it; a right-hand thread was assumed."
)
HAND_MISFIT = code("hand-not-available", "stop", "No stud for that wire has a thread of that hand.")
PIN_AS_NOMINAL = code("pin-taken-as-nominal", "note", "A pin's size was written rounded and taken as the catalogue's nominal size.")
PIN_ASSUMED = code("pin-assumed", "ask", "The pin was not said and the catalogue has more than one; the smallest was assumed.")

SLACK = Decimal("0.1")
LARGEST_PLAY = Decimal("1.15")  # hole over pin; above it the pin rattles: common practice, no source


def suits(pin: Decimal, hole: Decimal) -> bool:
    """Whether a pin goes through a hole and does not rattle in it."""
    return pin <= hole <= pin * LARGEST_PLAY


def same(left: Decimal | None, right: Decimal | None) -> bool:
    """Whether two nominal sizes are one size, to 0.1 mm (inch sizes written in mm to one decimal)."""
    return left is not None and right is not None and abs(left - right) < SLACK


class Pinned(Protocol):
    """A row with a pin."""

    @property
    def pin(self) -> Decimal | None:
        """Nominal pin, mm."""


Row = TypeVar("Row", bound=Pinned)


def by_pin(rows: Iterable[Row], wanted: Decimal) -> Row | None:
    """The row of exactly that pin, else the nearest within 0.1 mm: 8 mm and 5/16 in differ by 0.06 mm and are two articles."""
    near = [(abs(row.pin - wanted), place, row) for place, row in enumerate(rows) if row.pin is not None and same(row.pin, wanted)]
    return min(near)[2] if near else None


def not_exact(pin: Decimal | None, wanted: Decimal | None, at: str) -> tuple[Finding, ...]:
    """Says that a pin written rounded was taken as the nominal one."""
    if pin is None or wanted is None or pin == wanted:
        return ()
    message = f"A pin of {nominal(wanted)} was taken as the nominal {nominal(pin)}."
    return (finding(PIN_AS_NOMINAL, at, message, "Write the pin's nominal size."),)


def choose_terminal(asked: Asked, catalogue: Catalogue) -> tuple[Terminal, tuple[Finding, ...]] | Misfit:
    """The row for that end, with what was assumed; or the finding that says what to change."""
    end, wire = asked.end, asked.wire
    at = f"{asked.name}/terminal"
    rows = catalogue.terminals(end.terminal, end.attachment or "", wire.construction, wire.diameter)
    if not rows:
        words = f"{end.attachment} {end.terminal} for {wire.size} {wire.construction} wire"
        return Misfit(
            (
                finding(
                    NO_TERMINAL, at, f"The catalogue has no {words}.", "Choose another terminal, attachment or wire size that go together."
                ),
            )
        )
    if end.sku is not None:
        rows = tuple(row for row in rows if row.sku == end.sku)
        if not rows:
            remedy = "Leave out the sku, or name an article of that family for that wire."
            return Misfit((finding(SKU_MISFIT, f"{asked.name}/sku", f"{end.sku} is not such a terminal for this wire.", remedy),))
    if rows[0].thread is not None:
        return _stud(asked, rows)
    return _by_pin(asked, rows)


def _by_pin(asked: Asked, rows: tuple[Terminal, ...]) -> tuple[Terminal, tuple[Finding, ...]] | Misfit:
    wanted = asked.end.pin
    if wanted is None:
        if len({row.pin for row in rows}) == 1:
            return rows[0], ()
        row = min(rows, key=lambda each: each.pin or Decimal(0))
        message = f"The pin was not said; {_size(row.pin)} was taken."
        return row, (
            finding(
                PIN_ASSUMED,
                f"{asked.name}/terminal",
                message,
                f"Measure the pin and say it: the catalogue has {_listed(r.pin for r in rows)}.",
            ),
        )
    found = by_pin(rows, wanted)
    if found is not None:
        return found, not_exact(found.pin, wanted, f"{asked.name}/pin")
    message = f"A {_size(wanted)} pin does not suit this terminal, whose hole takes {_listed(r.pin for r in rows)}."
    return Misfit(
        (finding(PIN_MISFIT, f"{asked.name}/pin", message, "Measure the pin again, or have the change of pin agreed by a rigger."),)
    )


def _stud(asked: Asked, rows: tuple[Terminal, ...]) -> tuple[Terminal, tuple[Finding, ...]] | Misfit:
    thread = asked.end.thread or asked.turnbuckle_thread
    threads = sorted({row.thread or "" for row in rows})
    if thread is None and len(threads) > 1:
        remedy = f"Measure the thread's diameter and pitch and say it: {', '.join(threads)}."
        return Misfit((finding(THREAD_MISSING, f"{asked.name}/terminal", "The stud's thread was not said.", remedy),))
    rows = tuple(row for row in rows if thread in (None, row.thread))
    if not rows:
        message = f"No stud for {asked.wire.size} wire has the thread {thread}; the catalogue has {', '.join(threads)}."
        at = f"{asked.name}/thread" if asked.end.thread else "turnbuckle/thread"
        return Misfit((finding(THREAD_MISFIT, at, message, "Measure the thread again, or change stud and turnbuckle together."),))
    hand = asked.end.hand or asked.turnbuckle_hand
    assumed = () if hand else (_assumed_hand(asked),)
    for row in rows:
        if row.hand == (hand or "right"):
            return row, assumed
    message = f"No stud for {asked.wire.size} wire with the thread {thread or threads[0]} is {hand or 'right'}-hand."
    return Misfit((finding(HAND_MISFIT, f"{asked.name}/hand", message, "Look which way the old stud turns, and say that hand."),))


def _assumed_hand(asked: Asked) -> Finding:
    return finding(
        HAND_ASSUMED,
        f"{asked.name}/terminal",
        "The stud's hand was not said; right was assumed.",
        "Look which way the old stud turns and say `hand`.",
    )


def _size(mm: Decimal | None) -> str:
    return "unknown" if mm is None else nominal(mm)


def _listed(sizes: Iterable[Decimal | None]) -> str:
    return " or ".join(_size(mm) for mm in sorted({mm for mm in sizes if mm is not None}))

"""Chooses a terminal from the catalogue: by wire, then by the article, pin, thread and hand in the request.

A choice left open is made with a finding, or refused.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import TYPE_CHECKING, Protocol, TypeVar

from pricing.findings import Finding, code, finding
from pricing.fittings.base import EndRequest, Misfit, named
from pricing.joints.findings import PIN_MISFIT
from pricing.joints.members import at_end
from pricing.values import Listing, Size, Text, Value, material, phrase, phrases, sizes, texts

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.rows import SoldOnly, Terminal

NO_TERMINAL = code("no-terminal-for-wire", "stop", "The catalogue has no terminal of that family and attachment for that wire.")
SKU_MISFIT = code("sku-does-not-fit", "stop", "The article named is not a fitting of that family for that wire.")
THREAD_MISFIT = code("thread-not-available", "stop", "No stud for that wire has the thread asked for.")
THREAD_MISSING = code("thread-missing", "stop", "A stud's thread was not given, and more than one is possible for the wire.")
HAND_ASSUMED = code(
    "hand-assumed",
    "ask",
    "The hand of a stud's thread was not given and does not follow from a turnbuckle; a right-hand thread was assumed.",
)
HAND_MISFIT = code("hand-not-available", "stop", "No stud for that wire has a thread of that hand.")
PIN_AS_NOMINAL = code("pin-taken-as-nominal", "note", "A pin's size was written rounded and taken as the catalogue's nominal size.")
PIN_ASSUMED = code("pin-assumed", "ask", "The pin was not given and the catalogue has more than one; the smallest was assumed.")

SLACK = Decimal("0.1")  # mm within which two nominal sizes count as the same


def same(left: Decimal | None, right: Decimal | None) -> bool:
    """Whether two nominal sizes are the same, to within 0.1 mm (inch sizes written in mm to one decimal)."""
    return left is not None and right is not None and abs(left - right) < SLACK


class Pinned(Protocol):
    """A row with a pin."""

    @property
    def pin(self) -> Decimal | None:
        """Nominal pin diameter, mm."""


Row = TypeVar("Row", bound=Pinned)


def by_pin(rows: Iterable[Row], wanted: Decimal, known: Iterable[Row] | None = None) -> Row | None:
    """The row with exactly that pin, else the nearest within 0.1 mm: 8 mm and 5/16 in differ by 0.06 mm and are two articles.

    `known`: all rows, including discontinued ones. The size meant is decided among them, so that a discontinued size is not replaced by its
    neighbour. Returns None if that size is not among `rows`.
    """
    rows = tuple(rows)
    named = rows if known is None else tuple(known)
    near = [(abs(row.pin - wanted), place, row) for place, row in enumerate(named) if row.pin is not None and same(row.pin, wanted)]
    if not near:
        return None
    pin = min(near)[2].pin
    return next((row for row in rows if row.pin == pin), None)


def not_exact(pin: Decimal | None, wanted: Decimal | None, at: str) -> tuple[Finding, ...]:
    """A note that a rounded pin size was taken as the nominal one."""
    if pin is None or wanted is None or pin == wanted:
        return ()
    return (finding(PIN_AS_NOMINAL, at, written=Size(wanted), pin=Size(pin)),)


def choose_terminal(request: EndRequest, catalogue: Catalogue) -> tuple[Terminal, tuple[Finding, ...]] | Misfit:
    """The row for that end with any assumptions made, or a finding that says what to change."""
    end, wire = request.end, request.wire
    at = f"{request.name}/terminal"
    known = catalogue.with_discontinued.terminals(end.terminal, end.attachment or "", wire.construction, wire.diameter, wire.material)
    catalogue = catalogue.of_part(kept=end.reuse)
    rows = catalogue.terminals(end.terminal, end.attachment or "", wire.construction, wire.diameter, wire.material)
    if only := catalogue.sold_only(end.sku):
        return Misfit(
            (finding(SKU_MISFIT, f"{request.name}/sku", "sold_only", sku=Text(only.sku), name=Text(only.name), lacks=_lacks(only)),)
        )
    if not rows:
        values = {"terminal": phrase(f"terminal.{end.terminal}"), **named(wire)}
        if catalogue.terminals(end.terminal, end.attachment or "", wire.construction, wire.diameter):
            return Misfit((finding(NO_TERMINAL, at, "material", **values, material=material(wire.material)),))
        if end.attachment is None:
            return Misfit((finding(NO_TERMINAL, at, "any", **values),))
        return Misfit((finding(NO_TERMINAL, at, "attached", **values, attachment=phrase(f"attachment.{end.attachment}")),))
    if end.sku is not None:
        rows = known = tuple(row for row in rows if row.sku == end.sku)
        if not rows:
            terminal = phrase(f"terminal.{end.terminal}")
            return Misfit((finding(SKU_MISFIT, f"{request.name}/sku", "terminal", sku=Text(end.sku), terminal=terminal, **named(wire)),))
    if rows[0].thread is not None:
        return _stud(request, rows, known)
    return _by_pin(request, rows, known)


DIMENSIONS = (
    "attachment", "constructions", "wire_sizes", "reach", "depth", "growth_u", "shank_before", "bore", "shank_after", "swaged_length", "pin", "hole", "tip", "jaw",
    "thread", "hand", "thread_length", "plain_tip", "ball", "slot", "break", "mass",
)  # fmt: skip


def _lacks(only: SoldOnly) -> Listing:
    """The dimensions that an only-sold article lacks, by name; anything that is not a terminal's dimension is summed up as `others`."""
    known = [name for name in only.lacks or () if name in DIMENSIONS]
    return phrases(f"dimension.{name}" for name in (known if known and len(known) == len(only.lacks or ()) else [*known, "others"]))


def _by_pin(request: EndRequest, rows: tuple[Terminal, ...], known: tuple[Terminal, ...]) -> tuple[Terminal, tuple[Finding, ...]] | Misfit:
    """Choose among rows by pin. `known`: all rows including discontinued ones; a missing pin is assumed without a finding only if they share one."""
    wanted, part = request.end.pin, at_end(phrase(f"terminal.{request.end.terminal}"), request.name)
    if wanted is None or rows[0].pin is None:  # a tee or ball has no pin; if one was given, that is reported separately
        if len({row.pin for row in known}) == 1:
            return rows[0], ()
        row = min(rows, key=lambda each: each.pin or Decimal(0))
        values: dict[str, Value] = {"part": part, "pin": Size(row.pin or Decimal(0)), "there": _listed([each.pin for each in rows], "and")}
        return row, (finding(PIN_ASSUMED, f"{request.name}/terminal", "terminal", **values),)
    found = by_pin(rows, wanted, known)
    if found is not None:
        return found, not_exact(found.pin, wanted, f"{request.name}/pin")
    takes = _listed([each.pin for each in rows], "or")
    return Misfit((finding(PIN_MISFIT, f"{request.name}/pin", "terminal", part=part, pin=Size(wanted), takes=takes),))


def _stud(request: EndRequest, rows: tuple[Terminal, ...], known: tuple[Terminal, ...]) -> tuple[Terminal, tuple[Finding, ...]] | Misfit:
    """Choose among rows by thread and hand; `known` as in `_by_pin`."""
    thread, end = request.end.thread or request.turnbuckle_thread, phrase(f"end.{request.name}")
    threads = sorted({row.thread or "" for row in rows})
    if thread is None and len({row.thread for row in known}) > 1:
        return Misfit((finding(THREAD_MISSING, f"{request.name}/terminal", end=end, threads=texts(threads, "or")),))
    rows = tuple(row for row in rows if thread in (None, row.thread))
    if not rows:
        at = f"{request.name}/thread" if request.end.thread else "turnbuckle/thread"
        others = texts(threads, "or")
        return Misfit((finding(THREAD_MISFIT, at, thread=Text(thread or ""), threads=others, **named(request.wire)),))
    hand = request.end.hand or request.turnbuckle_hand
    assumed = () if hand else (finding(HAND_ASSUMED, f"{request.name}/terminal", end=end),)
    for row in rows:
        if row.hand == (hand or "right"):
            return row, assumed
    values = {"thread": Text(thread or threads[0]), "hand": phrase(f"hand.{hand or 'right'}"), **named(request.wire)}
    return Misfit((finding(HAND_MISFIT, f"{request.name}/hand", **values),))


def _listed(pins: Iterable[Decimal | None], join: str) -> Listing:
    return sizes(sorted({mm for mm in pins if mm is not None}), join)

"""Which wires, pins and threads match a caliper reading and a thread count.

A wire is accepted from nominal − minus to nominal + plus (its own tolerance; published for inch sizes: plus only, FAA AC 43.13-1B table
7-3). A pin measures slightly under its nominal size and never over, and so does a thread's outer diameter (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import TYPE_CHECKING

from pricing.values import Count, FineLength, Phrase, phrase

if TYPE_CHECKING:
    from pricing.measurement.assembly import ThreadReading
    from pricing.rows import Thread, Wire

PIN_UNDER = Decimal("0.20")  # mm by which a pin may measure under its nominal size, wear included
THREAD_UNDER = Decimal("0.40")  # mm by which an outer diameter may measure under nominal
OVER = Decimal("0.05")  # mm over nominal: the caliper's own error
CALIPER_TELLS = Decimal("0.05")  # mm that a caliper can resolve on a strand: common practice, no source
COVER_WITHIN = Decimal("0.40")  # mm by which a cover may differ from its nominal diameter: common practice, no source
PITCH_WITHIN = Decimal("0.04")  # relative error allowed in a counted pitch


def wires_for(measured: Decimal, rows: Iterable[Wire]) -> tuple[Wire, ...]:
    """Wires whose tolerance includes a reading in mm, the nearest nominal size first.

    Sizes closer together than a caliper can resolve are all included. A reading within no tolerance may be low by the caliper's error.
    """
    rows = tuple(rows)
    fitting = [row for row in rows if row.diameter - row.minus <= measured <= row.diameter + row.plus]
    if not fitting:
        fitting = [row for row in rows if 0 < row.diameter - measured <= CALIPER_TELLS]
    within = [row for row in rows if any(abs(row.diameter - each.diameter) < CALIPER_TELLS for each in fitting)]
    return tuple(sorted(within, key=lambda row: abs(measured - row.diameter)))


def covers_for(measured: Decimal, rows: Iterable[Wire]) -> tuple[Wire, ...]:
    """Coated wires whose cover matches a reading in mm, the nearest first."""
    near = ((abs(measured - row.coating), row) for row in rows if row.coating is not None)
    return tuple([row for off, row in sorted(near, key=lambda each: each[0]) if off <= COVER_WITHIN])


def pins_for(measured: Decimal, sizes: Iterable[Decimal]) -> tuple[Decimal, ...]:
    """Nominal pins that match a reading in mm, nearest first."""
    return tuple(sorted((size for size in sizes if size - PIN_UNDER <= measured <= size + OVER), key=lambda size: abs(size - measured)))


def threads_for(reading: ThreadReading, rows: Iterable[Thread]) -> tuple[Thread, ...]:
    """Threads that match an outer diameter and a count, nearest pitch first."""
    pitch = reading.over / reading.threads
    near = (
        row
        for row in rows
        if row.diameter - THREAD_UNDER <= reading.diameter <= row.diameter + OVER and abs(pitch - row.pitch) <= PITCH_WITHIN * row.pitch
    )
    return tuple(sorted(near, key=lambda row: (abs(pitch - row.pitch), abs(reading.diameter - row.diameter))))


def to_hundredths(mm: Decimal) -> FineLength:
    """A caliper reading as shown in a sentence."""
    return FineLength(mm.quantize(Decimal("0.01")))


def thread_words(reading: ThreadReading) -> Phrase:
    """A thread reading as shown in a sentence."""
    return phrase(
        "measuring.thread", diameter=to_hundredths(reading.diameter), threads=Count(reading.threads), over=to_hundredths(reading.over)
    )

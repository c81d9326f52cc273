"""Threads: one normal designation for every spelling, and the tensile stress area."""

from __future__ import annotations

import re
from decimal import Decimal
from functools import lru_cache

from pricing.errors import QuantityError
from pricing.rows import Thread

PI = Decimal("3.14159265358979323846264338328")
# Coarse pitch implied by a bare `M8`: ISO 261, first choice sizes.
COARSE = {"3": "0.5", "4": "0.7", "5": "0.8", "6": "1", "8": "1.25", "10": "1.5", "12": "1.75", "16": "2", "20": "2.5", "24": "3"}
# Threads per inch of the fine series (UNF, ASME B1.1), so that `3/8-24` needs no series.
FINE = {"1/4": "28", "5/16": "24", "3/8": "24", "7/16": "20", "1/2": "20", "9/16": "18", "5/8": "18", "3/4": "16", "7/8": "14", "1": "12"}

_METRIC = re.compile(r"M ?([0-9]{1,3})(?: ?[x\u00d7*] ?([0-9](?:[.,][0-9]{1,2})?))?", re.IGNORECASE | re.ASCII)
_INCH = re.compile(r"([0-9]{1,2}(?:/[0-9]{1,2})?) ?(?:\"|″|in)? ?- ?([0-9]{1,2}) ?(UNF|UNC|UNEF|UN)?", re.IGNORECASE | re.ASCII)


@lru_cache(maxsize=4096)
def normal_thread(text: str) -> str:
    """The normal designation for any spelling: `3/8-24unf`, `3/8" - 24` -> `3/8-24 UNF`; `M8`, `m8x1.25` -> `M8 x 1.25`.

    A bare `M8` means the coarse pitch (ISO 261), a bare `3/8-24` the fine series (ASME B1.1). Raises QuantityError.
    """
    plain = " ".join(text.replace("\u2013", "-").replace("\u2011", "-").split()) if len(text) <= 30 else ""
    if match := _METRIC.fullmatch(plain):
        size, pitch = match[1].lstrip("0"), match[2] or COARSE.get(match[1].lstrip("0"))
        if size and pitch:
            return f"M{size} x {format(Decimal(pitch.replace(',', '.')).normalize(), 'f')}"
    if match := _INCH.fullmatch(plain):
        series = (match[3] or "").upper() or ("UNF" if FINE.get(match[1]) == match[2] else "")
        if series:
            return f"{match[1]}-{match[2]} {series}"
    raise QuantityError("not_a_thread", text[:30], f"'{text[:30]}' is not a thread: write it like '3/8-24 UNF' or 'M8 x 1.25'")


def tensile_stress_area(thread: Thread) -> Decimal:
    """Tensile stress area in mm².

    Inch threads: (π/4)(d - 0.9743/n)², FED-STD-H28/2B, with n threads per inch. Metric: (π/4)(d - 0.9382·P)², ISO 898-1. `thread` is in
    mm.
    """
    share = Decimal("0.9382") if thread.designation.startswith("M") else Decimal("0.9743")
    return PI / 4 * (thread.diameter - share * thread.pitch) ** 2

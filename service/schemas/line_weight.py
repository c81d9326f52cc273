"""Weight of a tape per length: `0.14 N/m`, or mass per length, `14 g/m`, at standard gravity (9.80665 m/s², NIST SP 811)."""

from __future__ import annotations

import re
from decimal import Decimal

from pricing.errors import QuantityError

_PATTERN = re.compile(r"([0-9]{1,6}(?:[.,][0-9]{1,6})?)\s*(N/m|g/m)")
NEWTONS_PER_METRE = {"N/m": Decimal(1), "g/m": Decimal("0.00980665")}


def parse_line_weight(text: str) -> Decimal:
    """The weight in newtons per metre. Raises QuantityError."""
    match = _PATTERN.fullmatch(text.strip())
    value = Decimal(match[1].replace(",", ".")) * NEWTONS_PER_METRE[match[2]] if match else Decimal(0)
    if value == 0:
        raise QuantityError("not_a_line_weight", text[:60], f"'{text[:60]}' is not a weight per length: write '0.14 N/m' or '14 g/m'")
    return value

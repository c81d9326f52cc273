"""Quote ids: UUID version 7 (RFC 9562 §5.7), with 48 bits of time in milliseconds and 74 random bits."""

from __future__ import annotations

import secrets
import time
from uuid import UUID

_VERSION = 7 << 76
_VARIANT = 0b10 << 62


def new_id() -> str:
    """A new id: sorts by creation time, and cannot be guessed from another."""
    milliseconds = time.time_ns() // 1_000_000
    high, low = secrets.randbits(12), secrets.randbits(62)
    return str(UUID(int=(milliseconds & (1 << 48) - 1) << 80 | _VERSION | high << 64 | _VARIANT | low))

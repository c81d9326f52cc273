"""Quote ids: UUID version 7 (RFC 9562 §5.7), with 48 bits of time in milliseconds and 74 random bits."""

from __future__ import annotations

import os
import time

_VERSION = 7 << 76
_VARIANT = 0b10 << 62
_RANDOM = 0xFFF << 64 | (1 << 62) - 1


def new_id() -> str:
    """A new id: sorts by creation time, and cannot be guessed from another."""
    milliseconds = time.time_ns() // 1_000_000
    random = int.from_bytes(os.urandom(10)) & _RANDOM
    text = f"{(milliseconds & (1 << 48) - 1) << 80 | _VERSION | _VARIANT | random:032x}"
    return f"{text[:8]}-{text[8:12]}-{text[12:16]}-{text[16:20]}-{text[20:]}"

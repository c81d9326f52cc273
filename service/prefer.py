"""What a client would rather have (`Prefer`, RFC 7240): how long it waits."""

from __future__ import annotations

from typing import NamedTuple

from flask import request

USUAL_WAIT = 20  # seconds; also the most: proxies and browsers give up after more
_MOST_DIGITS = 9


class Patience(NamedTuple):
    """Seconds to wait, and the preferences that were honoured, as `Preference-Applied` tells them (RFC 7240, 3)."""

    seconds: int
    applied: str | None


def patience() -> Patience:
    """From `wait=N` (at most `USUAL_WAIT`) and `respond-async`; what cannot be read is ignored, as the RFC wants it. Of two the first counts."""
    found: dict[str, str] = {}
    for wish in ",".join(request.headers.getlist("Prefer")).split(","):
        name, _, value = wish.partition(";")[0].partition("=")
        found.setdefault(name.strip().lower(), value.strip().strip('"'))
    wait = found.get("wait", "")
    if wait.isascii() and wait.isdecimal() and len(wait) <= _MOST_DIGITS:
        seconds = min(int(wait), USUAL_WAIT)
        return Patience(seconds, f"wait={seconds}")
    return Patience(0, "respond-async") if "respond-async" in found else Patience(USUAL_WAIT, None)

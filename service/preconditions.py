"""`If-Match`: a step is taken only on the quote that the one who asks has seen (RFC 9110, 13.1.1; 428 by RFC 6585)."""

from __future__ import annotations

from flask import request

from service.problems import Problem
from service.replies import CODED
from service.storage import Stored


def require_match() -> None:
    """Raises Problem (428) without the header."""
    if not request.headers.get("If-Match", "").strip():
        raise Problem(428, "Read the quote, then send its ETag in If-Match: only what was seen can be accepted.")


def judge_match(stored: Stored) -> None:
    """Raises Problem (412) where the header is there and names another state of the quote."""
    tags = stored.etag, f"{stored.etag}{CODED}"  # the same quote, plain or coded
    if request.headers.get("If-Match", "").strip() and not any(map(request.if_match.contains, tags)):
        words = f"The quote is not as it was seen: it is {stored.status}. Read it again and send the ETag that it has."
        raise Problem(412, words, headers={"ETag": f'"{stored.etag}"'})

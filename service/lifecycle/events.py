"""Types of events, and what webhooks send of them: small and without anyone's name; the receiver fetches the quote with its own key."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from typing import Any

from service.encoding import json


class EventType(StrEnum):
    """What happened: the `type` of an entry in a quote's history, and of a message."""

    ISSUED = "quote.issued"
    ACCEPTED = "quote.accepted"
    DECLINED = "quote.declined"
    WITHDRAWN = "quote.withdrawn"
    SUPERSEDED = "quote.superseded"
    EXPIRED = "quote.expired"
    CORRECTED = "quote.corrected"
    SETTLED = "quote.settled"
    UNSETTLED = "quote.unsettled"
    QUESTION_ASKED = "quote.question_asked"
    QUESTION_ANSWERED = "quote.question_answered"
    IN_WORK = "quote.in_work"
    CUT_UNDONE = "quote.cut_undone"
    AS_BUILT = "quote.as_built"
    BUILT = "quote.built"
    REOPENED = "quote.reopened"
    HANDED_OVER = "quote.handed_over"
    CANCELLED = "quote.cancelled"
    LINKS_ENDED = "quote.links_ended"
    ERASED = "quote.erased"
    BATCH_COMPLETED = "batch.completed"
    TEST = "webhook.test"


# Events that appear only in a quote's history, and are not sent to webhooks.
_HISTORY = frozenset({EventType.AS_BUILT, EventType.LINKS_ENDED, EventType.ERASED})
TOLD = tuple(each for each in EventType if each not in _HISTORY)
CHOOSABLE = tuple(each for each in TOLD if each is not EventType.TEST)


def quote_data(quote_id: str, number: str, revision: int, status: str, currency: str, payable: str | None) -> dict[str, Any]:
    """The data of a quote event. `payable` is decimal text, None if nothing could be priced."""
    return {
        "id": quote_id,
        "number": number,
        "revision": revision,
        "status": status,
        "href": f"/v1/quotes/{quote_id}",
        "currency": currency,
        "payable": payable,
    }


def batch_data(batch_id: str, total: int, succeeded: int, failed: int) -> dict[str, Any]:
    """The data of a batch event: counts of lines."""
    return {
        "id": batch_id, "status": "completed", "total": total, "succeeded": succeeded, "failed": failed, "href": f"/v1/batches/{batch_id}",
    }  # fmt: skip


def body(event: EventType, moment: str, data: Mapping[str, Any]) -> bytes:
    """A message as sent. `moment`: when it happened, RFC 3339 in UTC."""
    return json.write({"type": event.value, "timestamp": moment, "data": data})

"""What is told: the events, and a message's body. Small, without anybody's name: the receiver fetches the quote with its own key."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from typing import Any

from service import json
from service.life.statuses import Status


class Event(StrEnum):
    """What a message is about; its `type`."""

    CREATED = "quote.created"
    ACCEPTED = "quote.accepted"
    DECLINED = "quote.declined"
    WITHDRAWN = "quote.withdrawn"
    SUPERSEDED = "quote.superseded"
    EXPIRED = "quote.expired"
    BATCH_DONE = "batch.done"
    TEST = "webhook.test"


CHOOSABLE = tuple(each for each in Event if each is not Event.TEST)
OF_STATUS = {
    Status.ACCEPTED: Event.ACCEPTED,
    Status.DECLINED: Event.DECLINED,
    Status.WITHDRAWN: Event.WITHDRAWN,
    Status.SUPERSEDED: Event.SUPERSEDED,
}


def quote_data(quote_id: str, number: str, revision: int, status: str, currency: str, payable: str | None) -> dict[str, Any]:
    """`payable` decimal text, None where nothing could be priced."""
    return {
        "id": quote_id,
        "number": number,
        "revision": revision,
        "status": status,
        "href": f"/v1/quotes/{quote_id}",
        "currency": currency,
        "payable": payable,
    }


def batch_data(batch_id: str, total: int, done: int, failed: int) -> dict[str, Any]:
    """Counts of lines."""
    return {"id": batch_id, "state": "done", "total": total, "done": done, "failed": failed, "href": f"/v1/batches/{batch_id}"}


def body(event: Event, moment: str, data: Mapping[str, Any]) -> bytes:
    """A message as it is sent. `moment`: when it happened, RFC 3339 in UTC."""
    return json.write({"type": event.value, "timestamp": moment, "data": data})

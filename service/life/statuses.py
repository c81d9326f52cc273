"""Statuses of a quote and the steps between them, as one table.

A status that is not in the table for a step refuses it, with the words of `REASONS`. `expired` is never stored: a quote that is still
`issued` after its last day is expired.
"""

from __future__ import annotations

from datetime import date
from enum import StrEnum


class Status(StrEnum):
    """Where a quote stands. Only `issued` and `expired` are still open."""

    ISSUED = "issued"
    ACCEPTED = "accepted"
    DECLINED = "declined"
    WITHDRAWN = "withdrawn"
    SUPERSEDED = "superseded"
    EXPIRED = "expired"


class Step(StrEnum):
    """What can be done with a quote; `record_built` changes no status."""

    ACCEPT = "accept"
    DECLINE = "decline"
    WITHDRAW = "withdraw"
    REVISE = "revise"
    RECORD_BUILT = "record_built"


STEPS: dict[tuple[Status, Step], Status] = {
    (Status.ISSUED, Step.ACCEPT): Status.ACCEPTED,
    (Status.ISSUED, Step.DECLINE): Status.DECLINED,
    (Status.ISSUED, Step.WITHDRAW): Status.WITHDRAWN,
    (Status.ISSUED, Step.REVISE): Status.SUPERSEDED,
    (Status.DECLINED, Step.REVISE): Status.SUPERSEDED,
    (Status.EXPIRED, Step.REVISE): Status.SUPERSEDED,
    (Status.ISSUED, Step.RECORD_BUILT): Status.ISSUED,
    (Status.ACCEPTED, Step.RECORD_BUILT): Status.ACCEPTED,
    (Status.EXPIRED, Step.RECORD_BUILT): Status.EXPIRED,
}

REASONS: dict[Status, str] = {
    Status.ISSUED: "The quote is open",
    Status.ACCEPTED: "The quote is accepted, and stands as it was accepted: for other work ask for a new quote",
    Status.DECLINED: "The customer declined the quote: issue a revision to offer again",
    Status.WITHDRAWN: "The shop withdrew the quote: ask for a new one",
    Status.SUPERSEDED: "A later revision stands in place of this one: use that",
    Status.EXPIRED: "The quote's last day is over: issue a revision at today's prices",
}


class NotAllowed(Exception):
    """A step that a status does not allow; says why and what to do."""

    def __init__(self, status: Status, step: Step) -> None:
        super().__init__(f"{REASONS[status]}.")
        self.status, self.step = status, step


def status_on(stored: str, valid_until: str, day: date) -> str:
    """The status on a day of the shop; `valid_until` (ISO) is the last day on which the quote holds."""
    return Status.EXPIRED.value if stored == Status.ISSUED and day.isoformat() > valid_until else stored


def after(status: str, step: Step) -> Status:
    """The status after a step. Raises NotAllowed."""
    found = STEPS.get((Status(status), step))
    if found is None:
        raise NotAllowed(Status(status), step)
    return found

"""The statuses of a quote and the steps between them, as one table.

A step is refused in every status for which `STEPS` does not list it, with the text in `REASONS`. `expired` is never stored: a quote that is
still `issued` after its last day is expired.
"""

from __future__ import annotations

from datetime import date
from enum import StrEnum


class Status(StrEnum):
    """The status of a quote. `issued` and `expired` quotes have not been decided; from `accepted` on the shop works on the quote."""

    ISSUED = "issued"
    ACCEPTED = "accepted"
    IN_WORK = "in_work"
    BUILT = "built"
    HANDED_OVER = "handed_over"
    CANCELLED = "cancelled"
    DECLINED = "declined"
    WITHDRAWN = "withdrawn"
    SUPERSEDED = "superseded"
    EXPIRED = "expired"


class Step(StrEnum):
    """A step in a quote's lifecycle. `correct` replaces an accepted quote by a revision that stays accepted; `record_built` and `settle` may
    leave the status as it is.
    """

    ACCEPT = "accept"
    DECLINE = "decline"
    WITHDRAW = "withdraw"
    REVISE = "revise"
    CORRECT = "correct"
    CANCEL = "cancel"
    SETTLE = "settle"
    CUT = "cut"
    UNCUT = "uncut"
    RETURN = "return"
    RECORD_BUILT = "record_built"
    FINISH = "finish"
    REOPEN = "reopen"
    HAND_OVER = "hand_over"
    ASK = "ask"
    ANSWER = "answer"


_STAYING = {
    Step.SETTLE: (Status.ISSUED, Status.ACCEPTED, Status.IN_WORK, Status.EXPIRED),
    Step.CUT: (Status.IN_WORK,),
    Step.UNCUT: (Status.IN_WORK, Status.CANCELLED),
    Step.ASK: (Status.ISSUED, Status.ACCEPTED, Status.IN_WORK, Status.BUILT),
    Step.ANSWER: tuple(Status),
    Step.RECORD_BUILT: (Status.ISSUED, Status.ACCEPTED, Status.IN_WORK, Status.BUILT, Status.HANDED_OVER, Status.EXPIRED),
}
STEPS: dict[tuple[Status, Step], Status] = {
    **{(status, step): status for step, statuses in _STAYING.items() for status in statuses},
    (Status.ISSUED, Step.ACCEPT): Status.ACCEPTED,
    (Status.ISSUED, Step.DECLINE): Status.DECLINED,
    (Status.ISSUED, Step.WITHDRAW): Status.WITHDRAWN,
    (Status.ISSUED, Step.REVISE): Status.SUPERSEDED,
    (Status.DECLINED, Step.REVISE): Status.SUPERSEDED,
    (Status.EXPIRED, Step.REVISE): Status.SUPERSEDED,
    (Status.ACCEPTED, Step.REVISE): Status.SUPERSEDED,
    (Status.ACCEPTED, Step.CORRECT): Status.SUPERSEDED,
    (Status.ACCEPTED, Step.CUT): Status.IN_WORK,
    (Status.IN_WORK, Step.FINISH): Status.BUILT,
    (Status.ACCEPTED, Step.FINISH): Status.BUILT,
    (Status.IN_WORK, Step.RETURN): Status.ACCEPTED,
    (Status.BUILT, Step.REOPEN): Status.IN_WORK,
    (Status.BUILT, Step.HAND_OVER): Status.HANDED_OVER,
    (Status.ACCEPTED, Step.CANCEL): Status.CANCELLED,
    (Status.IN_WORK, Step.CANCEL): Status.CANCELLED,
    (Status.BUILT, Step.CANCEL): Status.CANCELLED,
}

REASONS: dict[Status, str] = {
    Status.ISSUED: "The quote is open: the customer has not accepted it yet. Have it accepted first, or withdraw it",
    Status.ACCEPTED: "The quote is accepted: cut and build it, or cancel it with a reason",
    Status.IN_WORK: "Wire was cut for this quote: build it as it stands, or cancel it with a reason; for other work issue a new quote",
    Status.BUILT: "Everything of this quote is built: hand it over, or cancel it with a reason",
    Status.HANDED_OVER: "The quote was built and handed over: for other work issue a new quote",
    Status.CANCELLED: "The shop cancelled the quote after it was accepted: issue a new one",
    Status.DECLINED: "The customer declined the quote: issue a revision to offer again",
    Status.WITHDRAWN: "The shop withdrew the quote: ask for a new one",
    Status.SUPERSEDED: "A later revision replaces this one: use that",
    Status.EXPIRED: "The quote has expired: issue a revision at today's prices",
}


class NotAllowed(Exception):
    """A step that the status does not allow; says why and what to do."""

    def __init__(self, status: Status, step: Step) -> None:
        super().__init__(f"{REASONS[status]}.")
        self.status, self.step = status, step


def status_on(stored: str, valid_until: str, day: date) -> str:
    """The status on a given day of the shop; `valid_until` (ISO) is the last day on which the quote is valid."""
    return Status.EXPIRED.value if stored == Status.ISSUED and day.isoformat() > valid_until else stored


def after(status: str, step: Step) -> Status:
    """The status after a step. Raises NotAllowed."""
    found = STEPS.get((Status(status), step))
    if found is None:
        raise NotAllowed(Status(status), step)
    return found


def refuse_accepted(status: str) -> None:
    """For quoting again in bulk: a quote that the customer has accepted must not be revised without being asked. Raises NotAllowed."""
    if status == Status.ACCEPTED:
        raise NotAllowed(Status.ACCEPTED, Step.REVISE)

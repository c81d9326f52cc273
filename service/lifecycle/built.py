"""When a quote is built: every piece of every assembly has a record that passed, and none that failed after it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from service.lifecycle.statuses import Status, Step


def built_step(status: str, quantities: Mapping[str, int], records: Iterable[Mapping[str, Any]]) -> Step | None:
    """The step that follows from these records of finished assemblies, oldest first; None if the status stays. `quantities`: pieces by tag."""
    verdicts = _last(records)
    wanted = [(tag, piece) for tag, many in quantities.items() for piece in range(1, many + 1)]
    built = bool(wanted) and all(verdicts.get(each) == "pass" for each in wanted)
    if built and status in (Status.ACCEPTED, Status.IN_WORK):
        return Step.FINISH
    return Step.REOPEN if status == Status.BUILT and not built else None


def any_failed(records: Iterable[Mapping[str, Any]]) -> bool:
    """Whether any piece failed in its last record. The records are given oldest first."""
    return "fail" in _last(records).values()


def _last(records: Iterable[Mapping[str, Any]]) -> dict[tuple[str, int], str]:
    """The last verdict on each piece, by tag and number."""
    return {(each["tag"], each["piece"]): each["verdict"] for record in records for each in record["assemblies"]}

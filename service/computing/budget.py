"""The limits of a single computation, and the problem returned if it exceeds them."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from service.engine.lock import busy
from service.http.problems import Problem, fault
from service.settings import Settings

RETRY_SECONDS = 10


class Lane(StrEnum):
    """A kind of computation with its own queue and processes, so that a slow plan keeps no quote waiting."""

    USUAL = "usual"
    PLANS = "plans"


class Reason(StrEnum):
    """Why a computation was stopped or not started."""

    CLOCK = "clock"
    MEMORY = "memory"
    GONE = "gone"
    BUSY = "busy"


@dataclass(frozen=True, slots=True)
class Budget:
    """`seconds` of processor time, `wall` seconds of elapsed time, `mb` of memory beyond what the idle process uses, and at most
    `wait` seconds in the queue. `retry`: value of `Retry-After`, in seconds, if the computation is not started.
    """

    seconds: float
    wall: float
    mb: int
    wait: float
    retry: int = 2


_TOO_LONG = (
    "The computation took longer than {limit}, and was stopped so that other requests are answered. "
    "Send fewer wires or pieces at once, or send the request again when the service is less busy."
)
_TOO_MUCH = "The computation needed more than {mb} MB of memory and was stopped so that other requests are answered. Send fewer wires, pieces or cells at once."
_GONE = "The process that computed this ended before it was done, and nothing was stored. Send the request again."
_WORDS = {
    Reason.CLOCK: ("took_too_long", _TOO_LONG),
    Reason.MEMORY: ("too_much_memory", _TOO_MUCH),
    Reason.GONE: ("computing_ended", _GONE),
}


def budgets(settings: Settings) -> dict[Lane, Budget]:
    """The budget of each lane, from the settings. The planner watches the clock itself and stops before its limit
    (`service.engine.planner`); if the machine is too busy for that, its process is killed a tenth beyond the limit.
    """
    seconds = float(settings.computing_seconds)
    plans = (settings.plan_seconds or 600) * 1.1
    return {
        Lane.USUAL: Budget(seconds, 4 * seconds, settings.max_computing_mb, 5.0),
        Lane.PLANS: Budget(plans, plans, settings.max_computing_mb, 30.0, RETRY_SECONDS),
    }


def places(settings: Settings) -> dict[Lane, int]:
    """How many threads of one server process may wait for each lane; the rest stay free for requests that compute nothing large."""
    return {Lane.USUAL: max(settings.threads // 4, 1), Lane.PLANS: max(settings.threads // 8, 1)}


def problem(reason: Reason, budget: Budget) -> Problem:
    """503 with the reason, and when to retry."""
    if reason is Reason.BUSY:
        return busy(budget.retry)
    code, words = _WORDS[reason]
    in_all = f"{budget.wall:g} seconds"
    limit = f"{budget.seconds:g} seconds of processor time, or {in_all} in all" if budget.seconds < budget.wall else in_all
    detail = words.format(limit=limit, mb=budget.mb)
    return Problem(503, detail, [fault("#", code, detail)], {"Retry-After": str(RETRY_SECONDS)})

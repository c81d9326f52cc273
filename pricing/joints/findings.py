"""Finding codes for joints that cannot be made; they stop the assembly."""

from __future__ import annotations

from pricing.findings import Finding, code, finding
from pricing.joints.faces import Unfit

PIN_MISFIT = code("pin-does-not-fit", "stop", "The pin named does not go through the fitting's hole, or rattles in it.")
JOINT_MISFIT = code(
    "joint-misfit", "stop", "Two neighbouring members do not go together: both jaws, both tongues, or too thick to go between."
)


def misfit(unfit: Unfit, at: str) -> Finding:
    """The finding for a joint that cannot be made."""
    return finding(PIN_MISFIT if unfit.hole else JOINT_MISFIT, at, unfit.wording, **dict(unfit.values))

"""Checks on the rig's state when it was recorded, on furled stays, and on wire too short to lie straight."""

from __future__ import annotations

from collections.abc import Iterable

from pricing.checks.assessment import Assessment
from pricing.checks.base import Shop
from pricing.findings import Finding, code, finding
from pricing.values import Length

RIG_SETTING = code("rig-setting-not-everyday", "ask", "The turnbuckle's setting is not known to be the one that the rig is sailed at most.")
FURLED = code("furled-stay", "ask", "A furling foil runs over this stay: its lower terminal must pass the foil.")
FURLED_BARE = code("furled-stay-bare", "note", "A furled stay's lower end is left bare, to be finished below its foil.")
SHORT_WIRE = code("wire-too-short", "ask", "Less than ten wire diameters of clear wire lie between two fittings.")
LEAST_DIAMETERS = 10  # WAC 296-24-29425(2)(a), for slings


def rig_setting(assessment: Assessment, shop: Shop) -> Iterable[Finding]:
    """The rig was slack, or its state is unknown: the turnbuckle's setting may not be the everyday one."""
    measured = assessment.built.assembly.measurement
    if assessment.built.assembly.turnbuckle is not None and measured.rig_setting != "everyday":
        yield finding(RIG_SETTING, "measurement", "slack" if measured.rig_setting == "slack" else "unknown")


def furled(assessment: Assessment, shop: Shop) -> Iterable[Finding]:
    """A finding for every furled stay: its lower terminal must pass the foil, or be fitted aboard if the end is left bare."""
    if assessment.built.assembly.furled and assessment.built.assembly.lower.terminal == "none":
        yield finding(FURLED_BARE, "furled")
    elif assessment.built.assembly.furled:
        yield finding(FURLED, "furled")


def short_wire(assessment: Assessment, shop: Shop) -> Iterable[Finding]:
    """A question if the clear wire between the two fittings, not counting wire under sleeves, is shorter than ten diameters."""
    built, ends = assessment.built, assessment.built.hardware.ends
    if built.free_wire is None or built.wire is None or ends is None:
        return
    clear = built.free_wire - ends.covered
    least = LEAST_DIAMETERS * built.wire.diameter
    if clear < least:
        if clear > 0:
            yield finding(SHORT_WIRE, "measurement/readings/0", "some", clear=Length(clear), least=Length(least))
        else:
            yield finding(SHORT_WIRE, "measurement/readings/0", "none", least=Length(least))

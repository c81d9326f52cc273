"""What the customer said that must be asked about: the rig's state when it was recorded, furled stays, wire too short to lie straight."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from pricing.checks.base import Shop
from pricing.findings import Finding, code, finding
from pricing.judging import Judged
from pricing.units import spoken

RIG_SETTING = code("rig-setting-not-everyday", "ask", "The turnbuckle's setting is not known to be the one that the rig is sailed at most.")
FURLED = code("furled-stay", "ask", "A furling foil runs over this stay: its lower terminal must pass the foil.")
FURLED_BARE = code("furled-stay-bare", "note", "A furled stay's lower end is left bare, to be finished below its foil.")
SHORT_WIRE = code("wire-too-short", "ask", "Less than ten wire diameters of clear wire lie between two fittings.")
IMPLAUSIBLE = code("length-implausible", "ask", "The length is outside what the trade makes.")
LEAST_DIAMETERS = 10  # WAC 296-24-29425(2)(a), for slings
LONGEST = Decimal(100_000)  # mm; common practice, no source


def rig_setting(judged: Judged, shop: Shop) -> Iterable[Finding]:
    """Slack, unknown or unsaid: the turnbuckle's setting may not be the everyday one."""
    measured = judged.built.assembly.measurement
    if judged.built.assembly.turnbuckle is not None and measured.rig_setting != "everyday":
        said = measured.rig_setting or "not said"
        remedy = "Confirm that the setting is the one sailed at most, or record it again with the rig set up."
        yield finding(RIG_SETTING, "measurement", f"The rig's setting when it was recorded: {said}.", remedy)


def furled(judged: Judged, shop: Shop) -> Iterable[Finding]:
    """A furled stay must be asked about."""
    if judged.built.assembly.furled and judged.built.assembly.lower.terminal == "none":
        message = "The furled stay's lower end is left bare, so that it passes the foil."
        yield finding(FURLED_BARE, "furled", message, "Fit its lower terminal aboard, below the foil.")
    elif judged.built.assembly.furled:
        message = "The lower terminal must pass through the furling foil, or be fitted aboard."
        yield finding(FURLED, "furled", message, "Measure the foil's bore, or leave the lower end bare and finish it aboard.")


def short_wire(judged: Judged, shop: Shop) -> Iterable[Finding]:
    """Clear wire between the two fittings, sleeves not counted."""
    built = judged.built
    if built.free_wire is None or built.wire is None or built.upper is None or built.lower is None:
        return
    clear = built.free_wire - built.upper.fitting.covered - built.lower.fitting.covered
    least = LEAST_DIAMETERS * built.wire.diameter
    if clear < least:
        message = f"{spoken(clear)} of clear wire lie between the fittings; {spoken(least)} is the least."
        yield finding(SHORT_WIRE, "measurement/readings/0", message, "Measure again, or replace the short wire by a link or toggles.")


def plausible(judged: Judged, shop: Shop) -> Iterable[Finding]:
    """Longer than any mast of the trade."""
    if judged.built.cut is not None and judged.built.cut > LONGEST:
        message = f"A wire of {spoken(judged.built.cut)} is longer than 100 m."
        yield finding(IMPLAUSIBLE, "measurement/readings/0", message, "Check the number and its unit.")

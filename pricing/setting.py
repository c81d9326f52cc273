"""At which setting a turnbuckle is built, what travel that leaves, and what to say of the setting that was recorded."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.derivation import thousandth
from pricing.findings import Finding, code, finding
from pricing.turnbuckle import Exposed, TurnbuckleGeometry
from pricing.units import spoken

if TYPE_CHECKING:
    from pricing.assembly import Setting, Turnbuckle

SETTING_MISSING = code(
    "setting-missing", "stop", "A turnbuckle's exposed threads were not recorded before it was taken apart; nothing recorded is not zero."
)
SETTING_UNKNOWN = code(
    "setting-unknown", "ask", "The wire can be cut to its stud, but without a recorded setting the turnbuckle's travel is unknown."
)
BEYOND_SCREW = code("exposed-beyond-screw", "stop", "An exposed thread is longer than the screw's whole thread.")
SCREWS_MEET = code("screws-meet", "stop", "At that setting both screws would have to overlap inside the body.")
ENGAGED_TOO_LITTLE = code("engagement-too-small", "stop", "At that setting a screw has less thread in the body than is safe.")
LOCKNUT_NO_ROOM = code("locknut-no-room", "ask", "An exposed thread is shorter than the locknut that sits on it.")
OLD_ENGAGEMENT = code(
    "recorded-engagement-small", "note", "The recorded setting had less thread in the body than is safe; it is not built again."
)
CENTRED_ASSUMED = code(
    "built-centred", "note", "The turnbuckle is not known to have the old one's geometry, so it is built near the middle of its travel."
)
UNEQUAL = code("screws-unequal", "note", "The two screws were recorded unequal; the same length can be built with both alike.")


class Settled(NamedTuple):
    """Setting to build at (None: unknown), how it was chosen, the recorded one, and findings."""

    build: Exposed | None
    how: str
    recorded: Exposed | None
    same_geometry: bool
    findings: tuple[Finding, ...] = ()


def recorded_setting(setting: Setting | None) -> Exposed | None:
    """Both screws as recorded, or None when either is missing."""
    if setting is None or setting.upper_exposed is None or setting.lower_exposed is None:
        return None
    return Exposed(setting.upper_exposed, setting.lower_exposed)


def settle(asked: Turnbuckle, geometry: TurnbuckleGeometry, share: Decimal, *, included: bool) -> Settled:
    """Choose the setting to build at; `included` says whether the reading took in the turnbuckle."""
    recorded = recorded_setting(asked.setting)
    same = asked.reuse or bool(asked.like_for_like)
    if recorded is None:
        return _unrecorded(asked, same, included=included)
    wrong = _impossible(recorded, geometry)
    if wrong:
        return Settled(None, "none", recorded, same, wrong)
    how = asked.build_at or ("as_recorded" if same else "centred")
    if how == "as_recorded":
        return Settled(recorded, how, recorded, same, (*_unsafe(recorded, geometry), *_unequal(recorded, geometry)))
    middle = geometry.centred(share)
    build = Exposed(thousandth(middle.upper), thousandth(middle.lower))
    return Settled(build, how, recorded, same, (*_unsafe(build, geometry, "turnbuckle"), *_said(asked, recorded, geometry)))


def _unrecorded(asked: Turnbuckle, same: bool, *, included: bool) -> Settled:
    missing = [name for name in ("upper_exposed", "lower_exposed") if asked.setting is None or getattr(asked.setting, name) is None]
    at = "turnbuckle/setting" if asked.setting is not None else "turnbuckle"
    if included or asked.setting is not None:
        message = f"The turnbuckle's setting lacks {' and '.join(missing)}."
        remedy = "Measure each screw's exposed thread, from the body's face to where the thread ends, before anything is unscrewed."
        return Settled(None, "none", None, same, (finding(SETTING_MISSING, at, message, remedy),))
    remedy = "If the turnbuckle is still as it was, measure both exposed threads; otherwise cut to the stud and accept an unknown travel."
    message = "No setting was recorded: the wire is cut to its stud, and the turnbuckle's travel is unknown."
    return Settled(None, "as_recorded", None, same, (finding(SETTING_UNKNOWN, at, message, remedy),))


def _impossible(at: Exposed, geometry: TurnbuckleGeometry) -> tuple[Finding, ...]:
    found = []
    for name, screw, exposed in (("upper", geometry.upper, at.upper), ("lower", geometry.lower, at.lower)):
        if exposed > screw.thread_length:
            message = f"{spoken(exposed)} of thread cannot show on a screw with {spoken(screw.thread_length)} of thread."
            remedy = "Measure from the body's face to where the thread ends, not to the fitting."
            found.append(finding(BEYOND_SCREW, f"turnbuckle/setting/{name}_exposed", message, remedy))
    if not found and geometry.room_inside(at) < 0:
        message = f"At this setting the screws would overlap by {spoken(-geometry.room_inside(at))} inside the body."
        found.append(finding(SCREWS_MEET, "turnbuckle/setting", message, "Measure both exposed threads again, and the body's length."))
    return tuple(found)


def _unsafe(at: Exposed, geometry: TurnbuckleGeometry, where: str = "turnbuckle/setting") -> tuple[Finding, ...]:
    found = []
    for name, screw, exposed in (("upper", geometry.upper, at.upper), ("lower", geometry.lower, at.lower)):
        engaged = screw.thread_length - exposed
        place = f"{where}/{name}_exposed" if where.endswith("setting") else where
        if engaged < screw.engagement:
            message = f"The {name} screw would have {spoken(engaged)} of thread in the body; {spoken(screw.engagement)} is the least."
            found.append(
                finding(ENGAGED_TOO_LITTLE, place, message, "Build it centred (`build_at`: centred), so that the wire makes up the length.")
            )
        elif exposed < geometry.locknut:
            message = f"{spoken(exposed)} of thread shows at the {name} screw, but its locknut is {spoken(geometry.locknut)} high."
            found.append(finding(LOCKNUT_NO_ROOM, place, message, "Look whether it has a locknut, and measure that exposed thread again."))
    return tuple(found)


def _unequal(at: Exposed, geometry: TurnbuckleGeometry) -> tuple[Finding, ...]:
    if abs(at.upper - at.lower) <= geometry.pitch:
        return ()
    even = geometry.equalised(at)
    message = f"Recorded {spoken(at.upper)} above and {spoken(at.lower)} below; {spoken(even.upper)} on both gives the same length."
    return (finding(UNEQUAL, "turnbuckle/setting", message, "Start both screws into the body evenly when assembling."),)


def _said(asked: Turnbuckle, recorded: Exposed, geometry: TurnbuckleGeometry) -> tuple[Finding, ...]:
    found = []
    if asked.build_at is None:
        remedy = "Say `like_for_like` if the new turnbuckle has the old one's geometry, or `build_at`."
        found.append(finding(CENTRED_ASSUMED, "turnbuckle", "The new turnbuckle is built near the middle of its travel.", remedy))
    if any(screw.thread_length - g < screw.engagement for screw, g in ((geometry.upper, recorded.upper), (geometry.lower, recorded.lower))):
        message = "At the recorded setting a screw had too little thread in the body."
        found.append(finding(OLD_ENGAGEMENT, "turnbuckle/setting", message, "The new wire is longer, so that the turnbuckle sits safely."))
    return tuple(found)

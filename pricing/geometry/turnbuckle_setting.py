"""The setting a turnbuckle is built at, the travel it leaves, and findings on the recorded setting."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.derivation import thousandth
from pricing.findings import Finding, code, finding
from pricing.geometry.turnbuckle import Exposed, TurnbuckleGeometry
from pricing.values import Length, Value, compared, phrase, phrases

if TYPE_CHECKING:
    from pricing.measurement.assembly import OwnTurnbuckle, Setting, Turnbuckle

SETTING_MISSING = code(
    "setting-missing", "stop", "A turnbuckle's exposed threads were not recorded before it was taken apart; nothing recorded is not zero."
)
SETTING_UNKNOWN = code(
    "setting-unknown", "ask", "The wire can be cut to its stud, but without a recorded setting the turnbuckle's travel is unknown."
)
BEYOND_SCREW = code("exposed-beyond-screw", "stop", "An exposed thread is longer than the screw's whole thread.")
SCREWS_MEET = code("screws-meet", "stop", "At that setting both screws would have to overlap inside the body.")
ENGAGED_TOO_LITTLE = code("engagement-too-small", "stop", "At that setting a screw has less thread in the body than is safe.")
NOT_TO_BE_LOCKED = code(
    "cotter-hole-in-boss", "ask", "At that setting the hole for a screw's locking cotter pin lies inside the open body's threaded boss."
)
LOCKNUT_NO_ROOM = code("locknut-no-room", "ask", "An exposed thread is shorter than the locknut that sits on it.")
OLD_ENGAGEMENT = code(
    "recorded-engagement-small", "note", "The recorded setting had less thread in the body than is safe; it is not built again."
)
READ_FROM_UNSAID = code(
    "thread-face-unsaid",
    "ask",
    "This turnbuckle has locknuts, and it was not stated whether the exposed threads were read from the body's face or from the locknuts'.",
)
READ_FROM_LOCKNUT = code(
    "thread-from-locknut", "ask", "The exposed threads were read from the locknuts' faces: the height of a nut was added to each."
)
NO_LOCKNUT = code("no-locknut", "ask", "The exposed threads are stated to be read from locknuts that this turnbuckle does not have.")
CENTRED_ASSUMED = code(
    "built-centred",
    "note",
    "The turnbuckle is not known to have the old one's geometry, so it is built near the middle of its travel.",
    assumption=True,
)
UNEQUAL = code("screws-unequal", "note", "The two screws were recorded unequal; the same length can be built with both alike.")


class ChosenSetting(NamedTuple):
    """The setting to build at (None: unknown), how it was chosen (as_recorded, centred or none), the recorded setting, and findings.

    `same_geometry`: the turnbuckle is the old one or one like it.
    """

    build: Exposed | None
    how: str
    recorded: Exposed | None
    same_geometry: bool
    findings: tuple[Finding, ...] = ()


def recorded_setting(setting: Setting | None, locknut: Decimal) -> Exposed | None:
    """Both screws as recorded, from the body's face; None if either is missing."""
    if setting is None or setting.upper_exposed is None or setting.lower_exposed is None:
        return None
    beneath = locknut if setting.read_from == "locknut" else Decimal(0)
    return Exposed(setting.upper_exposed + beneath, setting.lower_exposed + beneath)


def choose_setting(requested: Turnbuckle, geometry: TurnbuckleGeometry, share: Decimal, *, included: bool) -> ChosenSetting:
    """Choose the setting to build at; `included` says whether the reading included the turnbuckle."""
    same = requested.reuse or bool(requested.like_for_like)
    recorded = recorded_setting(requested.setting, geometry.locknut)
    if requested.setting is None or recorded is None:
        return _unrecorded(requested, same, included=included)
    chosen_setting = _choose(requested, recorded, geometry, share, same)
    return chosen_setting._replace(findings=(*chosen_setting.findings, *_faces(requested.setting, geometry, requested.dimensions, same)))


def _choose(requested: Turnbuckle, recorded: Exposed, geometry: TurnbuckleGeometry, share: Decimal, same: bool) -> ChosenSetting:
    wrong = _impossible(recorded, geometry)
    if wrong:
        return ChosenSetting(None, "none", recorded, same, wrong)
    how = requested.build_at or ("as_recorded" if same else "centred")
    if how == "as_recorded":
        return ChosenSetting(recorded, how, recorded, same, (*_unsafe(recorded, geometry), *_unequal(recorded, geometry)))
    middle = geometry.centred(share)
    build = Exposed(thousandth(middle.upper), thousandth(middle.lower))
    return ChosenSetting(build, how, recorded, same, (*_unsafe(build, geometry, "turnbuckle"), *_notes(requested, recorded, geometry)))


def _unrecorded(requested: Turnbuckle, same: bool, *, included: bool) -> ChosenSetting:
    missing = [name for name in ("upper", "lower") if requested.setting is None or getattr(requested.setting, f"{name}_exposed") is None]
    at = "turnbuckle/setting" if requested.setting is not None else "turnbuckle"
    if included or requested.setting is not None:
        screws = phrases(f"screw.{name}" for name in missing)
        return ChosenSetting(None, "none", None, same, (finding(SETTING_MISSING, at, screws=screws),))
    return ChosenSetting(None, "as_recorded", None, same, (finding(SETTING_UNKNOWN, at),))


def _faces(setting: Setting, geometry: TurnbuckleGeometry, own: OwnTurnbuckle | None, same: bool) -> tuple[Finding, ...]:
    """Findings on the face from which the exposed threads were read.

    It is never assumed silently: with locknuts on both screws, their height counts twice in the length.
    """
    nut, at = geometry.locknut, "turnbuckle/setting/read_from"
    if setting.read_from == "locknut" and not nut:
        return (finding(NO_LOCKNUT, at),)
    if setting.read_from == "locknut":
        source = "measured" if own is not None and own.locknut is not None else "catalogue" if same else "new"
        values: dict[str, Value] = {"height": Length(nut), "source": phrase(f"height_from.{source}"), "both": Length(2 * nut)}
        return (finding(READ_FROM_LOCKNUT, at, **values),)
    if setting.read_from is None and nut:
        return (finding(READ_FROM_UNSAID, at, both=Length(2 * nut)),)
    return ()


def _impossible(at: Exposed, geometry: TurnbuckleGeometry) -> tuple[Finding, ...]:
    findings = []
    for name, screw, exposed in (("upper", geometry.upper, at.upper), ("lower", geometry.lower, at.lower)):
        if exposed > screw.thread_length:
            shown, thread = compared(exposed, screw.thread_length)
            values: dict[str, Value] = {"screw": phrase(f"screw.{name}"), "exposed": shown, "thread": thread}
            findings.append(finding(BEYOND_SCREW, f"turnbuckle/setting/{name}_exposed", "screw", **values))
    if not findings and geometry.room_inside(at) < 0:
        findings.append(finding(SCREWS_MEET, "turnbuckle/setting", "screws", overlap=Length(-geometry.room_inside(at))))
    return tuple(findings)


def _unsafe(at: Exposed, geometry: TurnbuckleGeometry, where: str = "turnbuckle/setting") -> tuple[Finding, ...]:
    findings = []
    for name, screw, exposed in (("upper", geometry.upper, at.upper), ("lower", geometry.lower, at.lower)):
        engaged = screw.thread_length - exposed
        place = f"{where}/{name}_exposed" if where.endswith("setting") else where
        named = phrase(f"screw.{name}")
        if engaged < screw.engagement:
            holding, least = compared(engaged, screw.engagement)
            findings.append(finding(ENGAGED_TOO_LITTLE, place, screw=named, engaged=holding, least=least))
        elif engaged < screw.lockable:
            findings.append(finding(NOT_TO_BE_LOCKED, place, screw=named))
        elif exposed < geometry.locknut:
            shown, height = compared(exposed, geometry.locknut)
            findings.append(finding(LOCKNUT_NO_ROOM, place, screw=named, exposed=shown, height=height))
    return tuple(findings)


def _unequal(at: Exposed, geometry: TurnbuckleGeometry) -> tuple[Finding, ...]:
    if abs(at.upper - at.lower) <= geometry.pitch:
        return ()
    even = geometry.equalised(at)
    return (finding(UNEQUAL, "turnbuckle/setting", upper=Length(at.upper), lower=Length(at.lower), even=Length(even.upper)),)


def _notes(requested: Turnbuckle, recorded: Exposed, geometry: TurnbuckleGeometry) -> tuple[Finding, ...]:
    findings = []
    if requested.build_at is None:
        findings.append(finding(CENTRED_ASSUMED, "turnbuckle"))
    if any(screw.thread_length - g < screw.engagement for screw, g in ((geometry.upper, recorded.upper), (geometry.lower, recorded.lower))):
        findings.append(finding(OLD_ENGAGEMENT, "turnbuckle/setting"))
    return tuple(findings)

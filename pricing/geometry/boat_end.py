"""The last joint of each end: the outermost member on the boat's own fitting, as far as that fitting is known."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from pricing.findings import Finding, code, finding
from pricing.fittings.base import Misfit
from pricing.joints import Face, Joint, PinNeeded, Unfit, join
from pricing.joints.findings import misfit
from pricing.joints.members import of_boat
from pricing.values import Length, Listing, Phrase, Value, phrase

if TYPE_CHECKING:
    from pricing.measurement.assembly import BoatFitting, End

BOAT_UNSAID = code(
    "boat-fitting-not-said",
    "note",
    "It was not stated what an end joins on the boat; the new end was assumed to fit there as the old one did.",
    assumption=True,
)
BOAT_MISSING = code(
    "boat-fitting-missing", "ask", "A different part than before will bear on the boat, and it was not stated what it joins there."
)
PIN_OF_BOAT = code(
    "boat-pin-assumed",
    "note",
    "It was not stated whose pin joins an end to the boat; a jaw was assumed to come with its pin, the boat's pin to stay.",
)
PIN_UNKNOWN = code(
    "boat-pin-size-unknown", "ask", "A pin is to come with the assembly for the boat's own cheeks, and its size was not given."
)


SIZE_UNUSED = code(
    "boat-size-unused",
    "ask",
    "A size was given for the boat's fitting that a fitting of that kind does not have. It was not used.",
)
LOOSE = code(
    "loose-between-cheeks",
    "ask",
    "The part between two cheeks, or in a jaw, is thinner than a third of the gap, so the pin could bend.",
)
USED = {
    "plate": ("hole", "thickness"), "row_of_holes": ("hole", "thickness"), "bored_plate": ("hole", "thickness"),
    "cheeks": ("hole", "thickness", "width"), "ring": ("hole", "thickness"), "hook": ("thickness",), "slot": (), "socket": (), "lashing": (),
}  # fmt: skip
MOST_PLAY = 3  # free width over thickness above which spacers are fitted: common practice, no source
_NOTHING = Decimal(0)
CACHE_SIZE = 4096


class Landed(NamedTuple):
    """The joint on the boat, with its findings."""

    joint: Joint
    findings: tuple[Finding, ...] = ()


def land(name: str, end: End, face: Face) -> Landed | Misfit:
    """Match the outermost face of an end with the boat's fitting.

    If the fitting was not given, or is another wire, a jaw comes with its own pin and nothing else does.
    """
    boat_fitting = end.boat_fitting
    if boat_fitting is None or face.kind == "bare":
        pin = PinNeeded(face.pin, face.over, face.kept) if face.brings and face.pin is not None else None
        return Landed(Joint("not given", face.pin or _NOTHING, pin))
    boat = of_boat(boat_fitting, name, hole_stays=end.boat_hole != "redrilled")
    joint = join(face, boat)
    if isinstance(joint, Unfit):
        return Misfit((misfit(joint, f"{name}/boat_fitting"),))
    if face.brings and boat_fitting.pin_from == "boat":
        joint = joint._replace(pin=None)
    return Landed(
        joint,
        (
            *_whose_pin(name, boat_fitting, face),
            *_no_size(name, boat_fitting, joint, boat),
            *_unused(name, boat_fitting, boat),
            *_loose(name, face, boat),
        ),
    )


def _whose_pin(name: str, boat_fitting: BoatFitting, face: Face) -> tuple[Finding, ...]:
    if boat_fitting.pin_from is not None or (not face.brings and boat_fitting.kind != "cheeks"):
        return ()
    return (finding(PIN_OF_BOAT, f"{name}/boat_fitting", "comes" if face.brings else "stays", part=face.of),)


def _no_size(name: str, boat_fitting: BoatFitting, joint: Joint, boat: Face) -> tuple[Finding, ...]:
    if not boat.brings or joint.pin is not None or boat_fitting.pin_from != "assembly":
        return ()
    return (finding(PIN_UNKNOWN, f"{name}/boat_fitting", boat=boat.of),)


def _unused(name: str, boat_fitting: BoatFitting, boat: Face) -> tuple[Finding, ...]:
    sizes = (("hole", boat_fitting.hole), ("thickness", boat_fitting.thickness), ("width", boat_fitting.width))
    unused = tuple(
        phrase(f"boat_size.{what}", size=Length(mm))
        for what, mm in sizes
        if mm is not None and what not in USED.get(boat_fitting.kind, ("hole", "thickness", "width"))
    )
    return (finding(SIZE_UNUSED, f"{name}/boat_fitting", boat=boat.of, sizes=Listing(unused)),) if unused else ()


def _loose(name: str, face: Face, boat: Face) -> tuple[Finding, ...]:
    jaw, between = (face, boat) if face.kind in ("jaw", "pin") else (boat, face)
    if jaw.inside is None or between.thick is None or jaw.kind not in ("jaw", "pin") or between.kind not in ("tongue", "crown"):
        return ()
    if jaw.inside <= between.thick * MOST_PLAY:
        return ()
    values: dict[str, Value] = {"part": between.of, "thick": Length(between.thick), "jaw": jaw.of, "inside": Length(jaw.inside)}
    return (finding(LOOSE, f"{name}/boat_fitting", **values),)


def boat_fittings_not_given(ends: Iterable[tuple[str, Face, bool]]) -> tuple[Finding, ...]:
    """Findings for ends whose boat fitting was not given. `ends`: (name, outermost face, whether that face differs from the old one's).

    One note for all ends where like replaces like; a question for each of the others.
    """
    return _not_given(tuple(ends))


@lru_cache(maxsize=CACHE_SIZE)
def _not_given(ends: tuple[tuple[str, Face, bool], ...]) -> tuple[Finding, ...]:
    open_ends = {name: (face, otherwise) for name, face, otherwise in ends if face.kind != "bare"}
    requested = {name: face for name, (face, otherwise) in open_ends.items() if otherwise}
    alike = [face for name, (face, _) in open_ends.items() if name not in requested]
    findings = [_bears_anew(name, face) for name, face in requested.items()]
    if alike:
        at = next(name for name in open_ends if name not in requested)
        findings.append(_as_before(at, alike))
    return tuple(findings)


def _bears_anew(name: str, face: Face) -> Finding:
    return finding(BOAT_MISSING, name, part=face.of, pin=_pin(face) or _NO_PIN)


def _as_before(at: str, faces: list[Face]) -> Finding:
    pins = tuple(pin for face in faces if (pin := _pin(face)) is not None)
    return finding(BOAT_UNSAID, at, parts=Listing(tuple([face.of for face in faces])), pins=Listing(pins or (_NO_PIN,)))


_NO_PIN = phrase("whose_pin.none")


def _pin(face: Face) -> Phrase | None:
    """A phrase for whose pin the joint uses; None if the face involves no pin."""
    if face.kind == "jaw":
        return phrase("whose_pin.kept" if face.kept else "whose_pin.comes", part=face.of)
    return phrase("whose_pin.stays", part=face.of) if face.kind in ("tongue", "crown") else None

"""Which turnbuckles take a wire's stud, and which attach to a terminal's pin with a screw of their own."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from typing import TYPE_CHECKING

from pricing.combinations.ends import has_pins, on_boat
from pricing.combinations.folding import Single, joined
from pricing.fittings import Fitting
from pricing.joints import Face, Unfit, join
from pricing.joints.members import of_screw
from pricing.measurement.assembly import SCREW_ENDS
from pricing.units import nominal

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.rows import Screw

_OTHER = {"right": "left", "left": "right"}


def on_studs(catalogue: Catalogue) -> Iterator[Single]:
    """Rows of the stud's thread and hand, the hand of the body's thread for it (the same), the body, the outer end, its pin, and both as one."""
    for body in catalogue.tables.turnbuckle_bodies:
        for screw in _screws(catalogue, body.thread):
            hand = _OTHER[screw.hand]
            pin = nominal(screw.pin)
            yield body.thread, hand, hand, body.body, screw.end, pin, joined(screw.end, pin)


def on_pins(fittings_by_pin: dict[tuple[str, str, str], tuple[Fitting, ...]], catalogue: Catalogue) -> Iterator[Single]:
    """Rows of a terminal's family and pin, the thread and body, the inner end and its pin, and the outer end and its pin."""
    for (family, on_pin), fittings in _of_all_sizes(fittings_by_pin).items():
        for body in catalogue.tables.turnbuckle_bodies:
            screws = _screws(catalogue, body.thread)
            inners = [
                each for each in screws if each.hand == body.stud_hand and all(_joins(fitting, each, catalogue) for fitting in fittings)
            ]
            for inner in inners:
                for outer in screws:
                    if outer.hand != body.stud_hand:
                        ends = inner.end, nominal(inner.pin), outer.end, nominal(outer.pin)
                        yield family, on_pin, body.thread, body.body, *ends


def _of_all_sizes(fittings_by_pin: dict[tuple[str, str, str], tuple[Fitting, ...]]) -> dict[tuple[str, str], tuple[Fitting, ...]]:
    """Fittings with distinct faces by (family, pin), for all wire sizes together; thimbles are left out, as they have no pin."""
    groups: dict[tuple[str, str], dict[Face, Fitting]] = defaultdict(dict)
    for (family, pin, _), fittings in fittings_by_pin.items():
        if pin:
            groups[family, pin].update({each.face: each for each in fittings})
    return {key: tuple(group.values()) for key, group in groups.items()}


def _screws(catalogue: Catalogue, thread: str) -> list[Screw]:
    screws = [screw for end in SCREW_ENDS for screw in catalogue.screws(thread, end)]
    return [screw for screw in screws if has_pins([on_boat(of_screw(screw, kept=False))], catalogue)]


def _joins(fitting: Fitting, inner: Screw, catalogue: Catalogue) -> bool:
    """Whether the terminal's and the screw's faces mate, with a pin to match."""
    joint = join(fitting.face, of_screw(inner, kept=False))
    return not isinstance(joint, Unfit) and has_pins([joint], catalogue)

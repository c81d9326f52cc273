"""Which turnbuckles take a wire's stud, and which hang on a terminal's pin with a screw of their own toward the wire."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from pricing.assembly import SCREW_ENDS
from pricing.fittings import Fitting
from pricing.fittings.choose import suits
from pricing.offer.ends import has_pin
from pricing.offer.folding import Single
from pricing.units import nominal

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.catalogue.rows import Screw

_OTHER = {"right": "left", "left": "right"}


def on_studs(catalogue: Catalogue) -> Iterator[Single]:
    """Thread and hand of the stud; hand of the thread that takes it, which is the same; body; outer end and its pin."""
    for body in catalogue.tables.turnbuckle_bodies:
        for screw in _screws(catalogue, body.thread):
            hand = _OTHER[screw.hand]
            yield body.thread, hand, hand, body.body, screw.end, nominal(screw.pin)


def on_pins(found: dict[tuple[str, str], tuple[Fitting, ...]], catalogue: Catalogue) -> Iterator[Single]:
    """Family and pin; thread and body; the end toward the wire and its pin; the outer end and its pin."""
    for (family, on_pin), fittings in found.items():
        for body in catalogue.tables.turnbuckle_bodies:
            screws = _screws(catalogue, body.thread)
            inners = [each for each in screws if each.hand == body.stud_hand and all(_joins(fitting, each) for fitting in fittings)]
            for inner in inners:
                for outer in screws:
                    if outer.hand != body.stud_hand:
                        ends = inner.end, nominal(inner.pin), outer.end, nominal(outer.pin)
                        yield family, on_pin, body.thread, body.body, *ends


def _screws(catalogue: Catalogue, thread: str) -> list[Screw]:
    found = [screw for end in SCREW_ENDS for screw in catalogue.screws(thread, end)]
    return [screw for screw in found if has_pin(screw.pin, screw.jaw, catalogue)]


def _joins(fitting: Fitting, inner: Screw) -> bool:
    """Whether one pin goes through both: the one that has a jaw brings it."""
    if fitting.frame.kind != "hole" or fitting.thread is not None:
        return False
    pin, hole = (fitting.frame.pin, inner.hole) if fitting.jaw is not None else (inner.pin, fitting.frame.hole)
    return pin is not None and hole is not None and suits(pin, hole)

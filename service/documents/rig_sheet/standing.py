"""A quote's wires sorted into the places where they stand, and those that have none."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import msgspec

from pricing.model import QuotedAssembly
from service.documents.rig import words
from service.documents.rig_sheet.labels import MOST, Label
from service.documents.rig_sheet.line_kinds import OF_WIRE
from service.documents.rig_sheet.masts import Rig
from service.documents.rig_sheet.places import ATHWART, Course, course
from service.documents.speech import Speech


@dataclass(frozen=True, slots=True)
class Standing:
    """The wires of one place: one role, side, mast and number; one line is drawn for each readiness among them."""

    course: Course
    wires: tuple[QuotedAssembly, ...]

    @property
    def first(self) -> QuotedAssembly:
        """The first of them in the request: what they have in common is read from it."""
        return self.wires[0]

    @property
    def athwart(self) -> bool:
        """Whether it is drawn as seen along the boat, else from the side."""
        return self.first.role in ATHWART

    @property
    def kinds(self) -> list[str]:
        """Each readiness among its wires."""
        found = {each.readiness for each in self.wires}
        return [each for each in OF_WIRE if each in found]

    def label(self, speech: Speech) -> Label:
        """Its label, which names the side and mast only if its place on the sheet does not show them."""
        side = None if self.athwart or self.first.side == "centre" else self.first.side
        named = msgspec.structs.replace(self.first, mast="main" if self.athwart else self.first.mast, side=side)
        shown = self.wires if len(self.wires) <= MOST else self.wires[: MOST - 1]
        more = len(self.wires) - len(shown)
        return Label(
            words.role(named, speech),
            tuple((each.readiness, each.tag) for each in shown),
            speech.say("and %(count)s more", count=more) if more else "",
        )


def standing(assemblies: Sequence[QuotedAssembly], rig: Rig) -> tuple[list[Standing], list[QuotedAssembly]]:
    """The places in the order of the request, and the assemblies without one."""
    found: dict[tuple[str, str | None, str, int | None], list[QuotedAssembly]] = {}
    unplaced: list[QuotedAssembly] = []
    for each in assemblies:
        side = None if each.side == "centre" else each.side
        if course(each, rig) is None:
            unplaced.append(each)
        else:
            found.setdefault((each.role, side, each.mast, each.number), []).append(each)
    placed = [(course(wires[0], rig), wires) for wires in found.values()]
    return [Standing(its, tuple(wires)) for its, wires in placed if its is not None], unplaced

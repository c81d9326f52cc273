"""Checks jaws, tongues and backing plates with the engine's own joint model: a part that mates with nothing, or that no pin spans, is useless.

Only rows that give their widths are checked; tables of earlier editions do not give them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from pricing.catalogue.cells import plain
from pricing.catalogue.reading import BAD, Sheet, Sheets
from pricing.joints import Face, Unfit, join
from pricing.values import phrase


class Shown(NamedTuple):
    """One mating face of a row, with its position and the column that gives its thickness or width."""

    sheet: Sheet
    at: int
    column: str
    face: Face

    def note(self, expected: str) -> None:
        """Record a fault for this row."""
        self.sheet.note(self.sheet.lines[self.at], self.column, self.sheet.text[self.column][self.at], expected)


_OF = {"terminals": "hole", "screws": "hole", "links": "inner_hole"}


def jaws_and_tongues(sheets: Sheets) -> None:
    """Every jaw is spanned by a pin and takes a tongue, and every tongue fits a jaw, where the tables have one with the same pin."""
    jaws = [each for kind in _OF for each in _jaws(sheets[kind])]
    tongues = [each for kind, hole in _OF.items() for each in _tongues(sheets[kind], hole)]
    spans = _spans(sheets["pins"])
    for jaw in jaws:
        _spanned(jaw, spans)
    _joined(jaws, tongues, "a width between the cheeks that takes an eye or a toggle with the same pin")
    _joined(tongues, jaws, "a thickness that goes between the cheeks of a fork or a toggle with the same pin")


def plates_and_tees(sheets: Sheets) -> None:
    """The slot of each backing plate takes the swaged shank of every tee for its wires."""
    columns = ("family", "wire_sizes", "shank_after")
    tees = [values for _, values in sheets["terminals"].rows(columns) if _known(*values) and values[0] == "tee"]
    for at, (_, (sizes, slot)) in enumerate(sheets["backing_plates"].rows(("wire_sizes", "slot"))):
        if _known(sizes, slot):
            plate = Shown(sheets["backing_plates"], at, "slot", Face("slot", phrase("part.backing_plate"), inside=slot))
            bars = [Face("cross_bar", phrase("face.cross_bar"), thick=shank) for _, wires, shank in tees if set(wires) & set(sizes)]
            if any(isinstance(join(bar, plate.face), Unfit) for bar in bars):
                plate.note("a slot that takes the swaged shank of each tee for these wires")


def _jaws(sheet: Sheet) -> Iterator[Shown]:
    for at, (_, values) in enumerate(sheet.rows(("pin", "hole", "jaw", "jaw_over"))):
        if not _known(*values):
            continue
        pin, hole, inside, over = values
        yield Shown(sheet, at, "jaw", Face("jaw", phrase("face.jaw"), pin, hole, inside=inside, over=over, brings=True))


def _tongues(sheet: Sheet, hole_in: str) -> Iterator[Shown]:
    for at, (_, values) in enumerate(sheet.rows(("pin", hole_in, "tongue"))):
        if _known(*values) and not (
            "kind" in sheet.text and sheet.text["kind"][at] == "bridle_plate"
        ):  # whose inner hole takes another pin
            yield Shown(sheet, at, "tongue", Face("tongue", phrase("face.tongue"), *values))


def _known(*values: Any) -> bool:
    return all(each is not None and each is not BAD for each in values)


def _spans(pins: Sheet) -> dict[Any, Any]:
    """The grip of the longest pin of each diameter."""
    widest_grip: dict[Any, Any] = {}
    for _, (diameter, grip) in pins.rows(("diameter", "grip")):
        if _known(diameter, grip):
            widest_grip[diameter] = max(grip, widest_grip.get(diameter, grip))
    return widest_grip


def _spanned(jaw: Shown, spans: Mapping[Any, Any]) -> None:
    over, longest = jaw.face.over, spans.get(jaw.face.pin)
    if longest is not None and over is not None and longest < over:
        jaw._replace(column="jaw_over").note(f"a width that a pin spans: the longest of that diameter spans {plain(longest)} mm")


def _joined(ones: list[Shown], others: list[Shown], expected: str) -> None:
    """Record a fault for each of `ones` that mates with none of the `others` on the same pin, if there are any on that pin."""
    faces: dict[Any, dict[Face, None]] = {}
    for other in others:
        faces.setdefault(other.face.pin, {})[other.face] = None
    fits: dict[Face, bool] = {}
    for one in ones:
        if one.face not in fits:
            near = faces.get(one.face.pin, {})
            fits[one.face] = not near or any(not isinstance(join(one.face, each), Unfit) for each in near)
        if not fits[one.face]:
            one.note(expected)

"""The layout of a sheet for either file format: rows of text, each with its kind. Pure; equal orders give equal rows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

from service.measuring_sheet.blocks import COMMENT
from service.measuring_sheet.choices import Offer, offers
from service.measuring_sheet.columns import ASSEMBLY, REQUEST, Asked, columns, label_of, title_of
from service.web_form.ask_before import EXPOSED
from service.web_form.asking import N_
from service.web_form.description import SECTIONS
from service.wording import translator

MOST_WIRES, USUAL_WIRES = 200, 12
UNITS = ("metric", "imperial")
TITLE = N_("Measuring sheet for replacement wires")
UNREAD = N_(
    "Rows that begin with # are not read; the rows that begin with 'request' and 'assembly' name the fields: leave them as they are."
)
NOTES = (
    N_("Support the mast with other lines before any stay or shroud is removed."),
    N_("Record each screw's exposed thread before unscrewing anything: afterwards nobody can tell it any more."),
    EXPOSED,
    next(words for name, _, _, words in SECTIONS if name == "length"),
    N_("Measure twice and write both: two readings show a slip of the tape."),
    N_("A wire a row. Leave empty what is not there or not known: not measured is not zero. What is written is never changed in silence."),
    N_("Write the unit with every length, and a fraction with its slash: '31 ft 4 5/16 in', '11/16 in', '9558 mm'. With its unit no spreadsheet takes a fraction for a date."),
    N_("Write values, no formulas and no dates."),
    N_("Replace like for like; have any change of wire, fitting or geometry designed by a qualified person."),
    N_("What comes of this sheet is an estimate from your measurements, and no order. The rigger checks every length and fitting before cutting."),
)  # fmt: skip
_FEW = 8


@dataclass(frozen=True, slots=True)
class Wanted:
    """The kind of sheet requested. `units`: which the quotation shows first; also determines the paper, A4 or Letter."""

    language: str = "en"
    units: str = UNITS[0]
    wires: int = USUAL_WIRES


class Field(NamedTuple):
    """A column as written: its name, label, help, choices, and initial content."""

    asked: Asked
    section: str
    label: str
    help: str
    offers: tuple[Offer, ...]
    filled: str = ""

    @property
    def hint(self) -> str:
        """A short hint on what to write: the choices if they are few, otherwise an example."""
        if 0 < len(self.offers) <= _FEW:
            return " / ".join(each.label for each in self.offers)
        question = self.asked.question
        if question is not None and question.examples:
            return question.examples[0]
        return f"{self.offers[0].label} / {self.offers[1].label} / ..." if self.offers else ""


class Layout(NamedTuple):
    """The contents of a sheet; `widest`: its number of columns, the first for marks and row numbers."""

    title: str
    notes: tuple[str, ...]
    whole: tuple[Field, ...]
    wire: tuple[Field, ...]
    wires: int

    @property
    def widest(self) -> int:
        """The number of columns of the wider block, including the first."""
        return max(len(self.whole), len(self.wire)) + 1


def laid_out(wanted: Wanted, form: Mapping[str, Any]) -> Layout:
    """The sheet in a language; `form`: the description in that language, for the choices of the tables in force."""
    say = translator(wanted.language)
    blocks = {block: tuple(_field(each, form, wanted) for each in columns(block)) for block in (REQUEST, ASSEMBLY)}
    return Layout(say(TITLE), tuple(map(say, (UNREAD, *NOTES))), blocks[REQUEST], blocks[ASSEMBLY], wanted.wires)


def _field(asked: Asked, form: Mapping[str, Any], wanted: Wanted) -> Field:
    say, question = translator(wanted.language), asked.question
    assert question is not None  # noqa: S101  # every column laid out has a question
    found = offers(asked, form)
    filled = next((each.label for each in found if asked.name == "display_units" and each.value == wanted.units), "")
    return Field(asked, say(title_of(question.section)), label_of(asked, say), question.help and say(question.help), found, filled)


def heads(fields: tuple[Field, ...]) -> list[str]:
    """The section titles, each above its first column."""
    before = ["", *(field.section for field in fields)]
    return [field.section if field.section != last else "" for field, last in zip(fields, before, strict=False)]


def rows_of(layout: Layout, *, hints: bool) -> list[tuple[str, list[str]]]:
    """The rows of the table, each with its kind: `title`, `heads`, `labels`, `hints`, `names`, `values`."""
    found = [("title", [COMMENT, layout.title])]
    for block, fields in ((REQUEST, layout.whole), (ASSEMBLY, layout.wire)):
        found.append(("heads", [COMMENT, *heads(fields)]))
        found.append(("labels", [COMMENT, *(field.label for field in fields)]))
        if hints:
            found.append(("hints", [COMMENT, *(field.hint for field in fields)]))
        found.append(("names", [block, *(field.asked.name for field in fields)]))
        if block == REQUEST:
            found.append(("values", ["", *(field.filled for field in fields)]))
    return [*found, *(("values", [str(number)]) for number in range(1, layout.wires + 1))]

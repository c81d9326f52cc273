"""The sheet's columns: the form's questions in order, each matched to the column of that name in service/assembly_table."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from service.assembly_table import Column, column_named
from service.assembly_table.columns import CUSTOM_ID
from service.measuring_sheet import usual
from service.web_form.asking import N_, Choice, Question
from service.web_form.description import SECTIONS, Say, scope
from service.web_form.questions import QUESTIONS

REQUEST, ASSEMBLY = "request", "assembly"
READINGS = 3
PLAIN = "plain_numbers"
_PLAIN = Question(
    PLAIN, "boat", "choice", N_("Unit of lengths without a unit"),
    N_("Leave it empty where every length has its unit. Filled in, each number that stands alone is read in this unit, and you are shown which."),
    choices=(Choice("mm", N_("Millimetres (mm)")), Choice("in", N_("Inches (in)"))),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Asked:
    """A column: `question` is None if the form does not ask for the field, `column` is None if it belongs to the sheet itself and not
    to a field.
    """

    name: str
    question: Question | None
    column: Column | None

    @property
    def kind(self) -> str:
        """What its cells hold: `length`, `flag`, `count`, `text`, ..., as in service/assembly_table; for the sheet's own columns
        `choice` or `presence`.
        """
        return self.column.kind if self.column is not None else self.question.kind if self.question is not None else ""

    @property
    def scope(self) -> str:
        """The block it is in."""
        shared = self.column.shared if self.column is not None else self.name == PLAIN
        return REQUEST if shared else ASSEMBLY


@cache
def columns(block: str) -> tuple[Asked, ...]:
    """The columns of a block in sheet order: the usual ones, then the others in the order of the questions."""
    questions = [each for each in QUESTIONS if scope(each) == block and (not each.short or each in usual.SHORT)]
    found = [column for each in questions for column in _columns(each)]
    if block == REQUEST:
        place = next(place for place, each in enumerate(found) if each.name == "display_units")
        found.insert(place + 1, Asked(PLAIN, _PLAIN, None))
    order = {name: place for place, name in enumerate(usual.WIRE if block == ASSEMBLY else usual.WHOLE)}
    return tuple(sorted(found, key=lambda each: order.get(each.name, len(order))))


def is_usual(asked: Asked) -> bool:
    """Whether the column is one of those that are seen and printed."""
    return asked.name in (usual.WIRE if asked.scope == ASSEMBLY else usual.WHOLE)


def _columns(question: Question) -> list[Asked]:
    several = question.kind == "lengths"
    names = [f"{question.path}.{number}" for number in range(1, READINGS + 1)] if several else [question.path]
    return [Asked(name, question, column_named(name)) for name in names]


@cache
def _by_name() -> dict[str, Asked]:
    return {each.name: each for block in (REQUEST, ASSEMBLY) for each in columns(block)}


def asked_as(name: str) -> Asked | None:
    """The column of that name, also for a field that the form does not ask for. None if there is no such field."""
    name = name.strip().casefold()
    if name in _by_name():
        return _by_name()[name]
    column = column_named(name)
    return None if column is None or column.path == (CUSTOM_ID,) else Asked(column.name, None, column)


def title_of(section: str) -> str:
    """The English title of a section, for translation."""
    return next(title for name, _, title, _ in SECTIONS if name == section)


def label_of(asked: Asked, say: Say) -> str:
    """The column's label: a reading with its number; for a field that the form does not ask for, its name."""
    if asked.question is None:
        return asked.name
    label = say(asked.question.label)
    return f"{label} ({asked.name.rpartition('.')[2]})" if asked.question.kind == "lengths" else label


def full_label(asked: Asked, say: Say) -> str:
    """The label with its section, since some labels occur in several."""
    return asked.name if asked.question is None else f"{say(title_of(asked.question.section))}: {label_of(asked, say)}"

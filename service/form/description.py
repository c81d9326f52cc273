"""The description as a document: sections, questions and tables, in one language. Pure but for the catalogue of messages."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from pricing.offer import offers
from service.form.asking import N_, Choice, From, Question
from service.form.findings import explained
from service.form.questions import QUESTIONS
from service.form.speech import LANGUAGES, translator
from service.schemas.fields import LEAST_MM, MOST_MM

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue

Say = Callable[[str], str]
SECTIONS = (
    ("boat", "request", N_("Your boat"), ""),
    (
        "before", "assembly", N_("Before you take it off"),
        N_("Write this down while the wire still stands: afterwards nobody can tell it any more. Support the mast before any stay comes off."),
    ),
    ("wire", "assembly", N_("The wire"), ""),
    ("upper", "assembly", N_("The upper end"), N_("The end toward the masthead; of a wire that lies level, the forward end.")),
    ("lower", "assembly", N_("The lower end"), N_("The end toward the deck; of a wire that lies level, the after end.")),
    ("turnbuckle", "assembly", N_("The turnbuckle"), ""),
    (
        "links", "assembly", N_("Toggles and shackles"),
        N_("Only what stays on the wire when it comes off: between its end, or its turnbuckle, and the boat. Leave empty what is not there."),
    ),
    (
        "length", "assembly", N_("The length"),
        N_("A length counts from where one fitting bears to where the other bears: that is where the load passes."),
    ),
    ("send", "request", N_("Request a quote"), N_("A quote is an estimate from your measurements, not an order. The rigger checks every length before cutting.")),
)  # fmt: skip


def describe(catalogue: Catalogue, language: str) -> dict[str, Any]:
    """The whole description; everything but `versions`, which the service adds."""
    say = translator(language)
    return {
        "language": language,
        "languages": list(LANGUAGES),
        "lengths": _lengths(say),
        "sections": [
            {"name": name, "scope": scope, "title": say(title), **_said({"help": words and say(words)})}
            for name, scope, title, words in SECTIONS
        ],
        "questions": [_question(each, say) for each in QUESTIONS],
        "tables": [
            {"name": table.name, "columns": list(table.columns), "rows": [[list(cell) for cell in row] for row in table.rows]}
            for table in offers(catalogue)
        ],
        "findings": explained(language),
    }


def _lengths(say: Say) -> dict[str, Any]:
    return {
        "units": ["mm", "cm", "m", "in", "ft"],
        "examples": ["31 ft 4 5/16 in", "6 3/8 in", "6⅜ in", "9558 mm", "9.558 m", "12,5 mm"],
        "least": f"{LEAST_MM} mm",
        "most": f"{MOST_MM / 1000:f} m",
        "help": say(
            N_(
                "Write the unit with every length. A fraction needs its slash: 11/16 in, not 11 16 in. Feet and inches go together: 31 ft 4 5/16 in."
            )
        ),
    }


def pointer(question: Question) -> str:
    """The JSON Pointer of the request's field, below the request or below the assembly."""
    steps = question.path.removeprefix("request.").split(".")
    return "/" + "/".join(str(int(step) - 1) if step.isdigit() else step for step in steps)


def scope(question: Question) -> str:
    """Whether it is asked once, or for each assembly."""
    return next(scope for name, scope, *_ in SECTIONS if name == question.section)


def _question(asked: Question, say: Say) -> dict[str, Any]:
    head = {"path": asked.path, "pointer": pointer(asked), "scope": scope(asked), "section": asked.section, "kind": asked.kind}
    more = {
        "default": asked.default,
        "when": [list(each) for each in asked.when],
        "choices": [_choice(each, say) for each in asked.choices],
        "from": [_from(each) for each in asked.offered],
        "examples": list(asked.examples),
        "illustration": asked.illustration,
        "help": asked.help and say(asked.help),
        "together": asked.together,
        "lacking": asked.lacking and say(asked.lacking),
    }
    flags = {"required": asked.required, "copied": asked.copied, "zero": asked.zero}
    return {**head, "label": say(asked.label), **flags, **_said(more)}


def _choice(offered: Choice, say: Say) -> dict[str, Any]:
    more = {
        "help": offered.help and say(offered.help),
        "when": [list(each) for each in offered.when],
        "illustration": offered.illustration,
    }
    return {"value": offered.value, "label": say(offered.label), **_said(more)}


def _from(source: From) -> dict[str, Any]:
    matches = [
        {"column": each.column, "path": each.path, **_said({"when": [list(any_of) for any_of in each.when]})} for each in source.match
    ]
    return {"table": source.table, "column": source.column, **_said({"match": matches, "when": [list(each) for each in source.when]})}


def _said(more: dict[str, Any]) -> dict[str, Any]:
    """What there is to say: an empty list or text is left out."""
    return {name: value for name, value in more.items() if value not in ("", [], None)}

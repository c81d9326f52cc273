"""The description as a document: sections, questions and tables, in one language. Pure except for reading the message catalogue."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from decimal import Decimal
from functools import cache, partial
from typing import TYPE_CHECKING, Any

from pricing.cautions import cautions
from pricing.combinations import offers
from pricing.units import parse_length
from pricing.wording import localised
from service.encoding.languages import LANGUAGES
from service.schemas.fields import LEAST_MM, MOST_MM
from service.web_form.ask_place import ALIKE, COPY, DIFFERS, LEVEL, OPPOSITE, PLACE
from service.web_form.asking import JOINED, N_, Choice, From, Question, Value, answered
from service.web_form.example import EXAMPLE
from service.web_form.limits import limits
from service.web_form.questions import QUESTIONS
from service.web_form.rig import drawn_on, rig, spot
from service.wording import messages, translator

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.combinations import Offer

Say = Callable[[str], str]
MOST_ASSEMBLIES = 60
#: The same wire on the boat's other side: its place or side, and its tag where that ends in a letter for the side.
OTHER_SIDE = {
    "sides": [{"path": PLACE, "values": OPPOSITE}, {"path": "side", "values": {"port": "starboard", "starboard": "port"}}],
    "tag": {"path": "tag", "endings": {"P": "S", "S": "P", "p": "s", "s": "p"}},
    "mark": COPY, "alike": {"path": ALIKE, "unless": DIFFERS},
}  # fmt: skip
SIZED = ("diameter", "pin", "on_pin", "inner_pin", "next_pin")  # the tables' columns of sizes
INCH = Decimal("25.4")
TAPE = "tape"  # the drawing that stands at readings in feet and inches
TAPE_WORDS = (
    N_("An inch on a tape."),
    N_("From the longest mark to the shortest: 1/2, 1/4, 1/8, 1/16 in. The arrow is at 5/16 in: one short mark beyond 1/4."),
)
WANTED = N_("This is needed.")
SECTIONS = (
    ("boat", "request", N_("Your boat"), ""),
    (
        "before", "assembly", N_("Before you take it off"),
        N_("While it is still rigged. Support the mast before any stay comes off."),
    ),
    ("wire", "assembly", N_("The wire"), ""),
    ("upper", "assembly", N_("The upper end"), ""),
    ("lower", "assembly", N_("The lower end"), ""),
    ("turnbuckle", "assembly", N_("The turnbuckle"), ""),
    (
        "links", "assembly", N_("Toggles, shackles and other links"),
        N_("What is, or shall be, between the wire's end, or its turnbuckle, and the boat. Leave empty what is not there."),
    ),
    (
        "joins", "assembly", N_("What it joins on the boat"),
        N_("So that nobody makes an end that does not go onto the boat. Leave empty what you do not know; the shop asks where it counts."),
    ),
    (
        "length", "assembly", N_("The length"), "",
    ),
    ("send", "request", N_("Request a quote"), N_("A quote is an estimate from your measurements, not an order. The rigger checks every length before cutting.")),
    ("details", "request", N_("Address and further details"), ""),
)  # fmt: skip

#: Sections that are shown folded, until an answer in them is required or given.
FOLDED = ("details",)
#: The names of sections for a wire that lies level.
LEVEL_TITLES = {"upper": N_("The forward end"), "lower": N_("The after end")}
#: A section's short name, used for what is still missing; translated in the context `section`.
SHORT = {
    "boat": "boat", "before": "place", "wire": "wire", "upper": "upper end", "lower": "lower end", "turnbuckle": "turnbuckle",
    "links": "links", "joins": "boat's fittings", "length": "length", "send": "name", "details": "address",
}  # fmt: skip
LEVEL_SHORT = {"upper": "forward end", "lower": "after end"}
#: What a section lacks once the wire's place is known.
PLACED_SHORT = {"before": "first details"}


def describe(catalogue: Catalogue, language: str) -> dict[str, Any]:
    """The whole description, except `versions`, which the service adds."""
    say, short = translator(language), partial(messages(language).pgettext, "section")
    tables = {table.name: table for table in offers(catalogue)}
    return {
        "language": language,
        "languages": list(LANGUAGES),
        "lengths": _lengths(say),
        "sections": [
            {
                "name": name,
                "scope": scope,
                "title": say(title),
                "short": short(SHORT[name]),
                **_without_empty({"help": words and say(words), "wordings": _titled(name, say, short), "folded": name in FOLDED or ""}),
            }
            for name, scope, title, words in SECTIONS
        ],
        "questions": [_question(each, say, tables) for each in QUESTIONS],
        "sizes": _sizes(language, tables),
        "tables": [
            {"name": table.name, "columns": list(table.columns), "rows": [[list(cell) for cell in row] for row in table.rows]}
            for table in tables.values()
        ],
        "max_assemblies": MOST_ASSEMBLIES,
        "other_side": OTHER_SIDE,
        "cautions": cautions(language),
        "example": EXAMPLE,
    }


def _titled(section: str, say: Say, short: Say) -> list[dict[str, Any]]:
    """A section's other names, each with its condition."""
    titles = {name: title for name, _, title, _ in SECTIONS} | LEVEL_TITLES
    when = LEVEL if section in LEVEL_SHORT else answered("role") if section in PLACED_SHORT else None
    other = (LEVEL_SHORT | PLACED_SHORT).get(section)
    return [{"when": [list(each) for each in when], "title": say(titles[section]), "short": short(other)}] if when and other else []


def _lengths(say: Say) -> dict[str, Any]:
    return {
        "units": ["mm", "cm", "m", "in", "ft"],
        "examples": ["31 ft 4 5/16 in", "6 3/8 in", "6⅜ in", "9558 mm", "9.558 m", "12,5 mm"],
        "minimum": f"{LEAST_MM} mm",
        "maximum": f"{MOST_MM / 1000:f} m",
        "tape": TAPE,
        "tape_words": " ".join(say(each) for each in TAPE_WORDS),
        "help": say(
            N_(
                "Write the unit with every length. A fraction needs its slash: 11/16 in, not 11 16 in. Feet and inches go together: 31 ft 4 5/16 in."
            )
        ),
    }


def _sizes(language: str, tables: Mapping[str, Offer]) -> dict[str, str]:
    """Each size in the tables with the other unit beside it, so that a caliper in millimetres finds 3/16 in and the reverse."""
    written = {value for table in tables.values() for name in SIZED for value in (table.values(name) if name in table.columns else ())}
    return {size: localised(_both(size), language) for size in sorted(written)}


def _both(size: str) -> str:
    mm = parse_length(size)
    return f"{size} ({mm.quantize(Decimal('0.1'))} mm)" if size.endswith("in") else f"{size} ({(mm / INCH).quantize(Decimal('0.001'))} in)"


def pointer(question: Question) -> str:
    """The JSON Pointer of the request field, relative to the request or the assembly."""
    steps = question.path.removeprefix("request.").split(".")
    return "/" + "/".join(str(int(step) - 1) if step.isdigit() else step for step in steps)


def scope(question: Question) -> str:
    """Whether it is asked once or per assembly."""
    return next(scope for name, scope, *_ in SECTIONS if name == question.section)


def _named(asked: Question, tables: Mapping[str, Offer]) -> list[Choice]:
    parted = _parted(asked, tables)
    known = {each.value for each in parted}
    return [*parted, *(each for each in asked.choices if each.value not in known and (not asked.joined or not each.sent))]


def _parted(asked: Question, tables: Mapping[str, Offer]) -> list[Choice]:
    """The choices of a question whose answers are several at once: each value of its column, with what its parts answer."""
    named = {each.value: each for each in asked.choices}
    values = dict.fromkeys(value for source in asked.offered if asked.joined for value in tables[source.table].values(source.column))
    ordered = (*(value for value in named if value in values), *(value for value in values if value not in named))
    return [_of_parts(asked, str(value), named.get(value)) for value in ordered]


def _of_parts(asked: Question, value: str, named: Choice | None) -> Choice:
    parts = tuple(zip(asked.joined, value.split(JOINED), strict=True))
    return replace(named or Choice(value, ""), answers=parts)


@cache
def _labels() -> dict[str, dict[Value, str]]:
    return {each.path: {choice.value: choice.label for choice in each.choices} for each in QUESTIONS}


def _label(offered: Choice, say: Say) -> str:
    """A choice's label; for one that answers several questions, the labels of its parts."""
    return say(offered.label) if offered.label else ", ".join(say(_labels()[path].get(part, str(part))) for path, part in offered.answers)


def _question(asked: Question, say: Say, tables: Mapping[str, Offer]) -> dict[str, Any]:
    head = {
        "path": asked.path,
        **({} if asked.short else {"pointer": pointer(asked)}),
        "scope": scope(asked),
        "section": asked.section,
        "kind": asked.kind,
    }
    more = {
        "default": asked.default,
        "required_when": [list(each) for each in asked.required_when],
        "when": [list(each) for each in asked.when],
        "choices": [_choice(each, say, spot(str(each.value)) if drawn_on(asked) else None) for each in _named(asked, tables)],
        "map": _map(asked, say) if drawn_on(asked) else "",
        "wordings": [
            {
                "when": [list(any_of) for any_of in each.when],
                "label": say(each.label),
                **_without_empty({"help": each.help and say(each.help)}),
            }
            for each in asked.wordings
        ],
        "follows": dict(zip(("path", "pattern", "value"), asked.follows, strict=True)) if asked.follows else "",
        "short": asked.short or "",
        "quiet": asked.quiet or "",
        "from": [_from(each) for each in asked.offered],
        "examples": list(asked.examples),
        "illustrations": [
            {"name": each.name, **_without_empty({"when": [list(any_of) for any_of in each.when]})} for each in asked.pictures
        ],
        "help": asked.help and say(asked.help),
        "together": asked.together,
        "lacking": say(asked.lacking or WANTED) if asked.lacking or asked.required or asked.required_when or asked.together else "",
        **limits(asked, say),
    }
    flags = {"required": asked.required, "copied": asked.copied, "zero": asked.zero, "personal": asked.personal}
    return {**head, "label": say(asked.label), **flags, **_without_empty(more)}


def _map(asked: Question, say: Say) -> dict[str, Any]:
    """The drawing on which its choices are tapped, with its words in the language."""
    drawn = rig([str(each.value) for each in asked.choices])
    shapes = [{**each, "text": say(each["text"])} if "text" in each else each for each in drawn["shapes"]]
    return {**drawn, "says": say(drawn["says"]), "shapes": shapes}


def _choice(offered: Choice, say: Say, place: tuple[float, float] | None) -> dict[str, Any]:
    more = {
        "spot": list(place or ()),
        "help": offered.help and say(offered.help),
        "when": [list(each) for each in offered.when],
        "illustration": offered.illustration,
        "answers": dict(offered.answers) or "",
        "opens": list(offered.opens),
        "sent": "" if offered.sent else False,
    }
    return {"value": offered.value, "label": _label(offered, say), **_without_empty(more)}


def _from(source: From) -> dict[str, Any]:
    matches = [
        {"column": each.column, "path": each.path, **_without_empty({"when": [list(any_of) for any_of in each.when]})}
        for each in source.match
    ]
    return {
        "table": source.table,
        "column": source.column,
        **_without_empty({"match": matches, "when": [list(each) for each in source.when]}),
    }


def _without_empty(more: dict[str, Any]) -> dict[str, Any]:
    """The entries that are not empty texts, empty lists or None."""
    return {name: value for name, value in more.items() if value not in ("", [], None)}

"""Toggles and shackles between an end, or the turnbuckle there, and the boat; two at most are asked for."""

from __future__ import annotations

from service.form.ask_ends import HOLED
from service.form.asking import N_, Choice, From, Match, Question, answered, both, either, is_, is_not

KINDS = (Choice("toggle", N_("Toggle")), Choice("shackle", N_("Shackle")))
_LABELS = {
    "upper": (N_("At the upper end, is there a toggle or a shackle?"), N_("And another one beyond it, at the upper end?")),
    "lower": (N_("At the lower end, is there a toggle or a shackle?"), N_("And another one beyond it, at the lower end?")),
}


def links() -> tuple[Question, ...]:
    """The questions of both ends."""
    return (*_at("upper"), *_at("lower"))


def _at(end: str) -> tuple[Question, ...]:
    first, second = f"{end}.links.1", f"{end}.links.2"
    labels = _LABELS[end]
    hung = both(is_("turnbuckle", True), is_("turnbuckle.at", end))
    bare = either(is_not("turnbuckle", True), is_not("turnbuckle.at", end))
    here = either(both(hung, is_(f"{end}.terminal", "stud", *HOLED)), both(bare, is_(f"{end}.terminal", "thimble_eye", *HOLED)))
    steps = (Match("kind", f"{first}.kind"), Match("pin", f"{first}.pin"), Match("next_kind", f"{second}.kind"))

    def offered(column: str, known: int) -> tuple[From, ...]:
        turnbuckle = (Match("end", f"turnbuckle.{end}_end"), Match("on_pin", "turnbuckle.pin"))
        terminal = (Match("terminal", f"{end}.terminal"), Match("on_pin", f"{end}.pin"))
        return (
            From("turnbuckle_links", column, (*turnbuckle, *steps[:known]), hung),
            From("links", column, (*terminal, *steps[:known])),
        )

    return (
        Question(f"{first}.kind", "links", "choice", labels[0], when=here, choices=KINDS, offered=offered("kind", 0)),
        Question(
            f"{first}.pin", "links", "choice", N_("Diameter of its pin"), required=True, when=answered(f"{first}.kind"),
            offered=offered("pin", 1),
        ),
        Question(f"{second}.kind", "links", "choice", labels[1], when=answered(f"{first}.kind"), choices=KINDS, offered=offered("next_kind", 2)),
        Question(
            f"{second}.pin", "links", "choice", N_("Diameter of its pin"), required=True, when=answered(f"{second}.kind"),
            offered=offered("next_pin", 3),
        ),
    )  # fmt: skip

"""Links between an end, or its turnbuckle, and the boat, and what becomes of each; at most two are asked for."""

from __future__ import annotations

from pricing.measurement.assembly import LINK_CHANGES
from service.web_form.ask_place import LEVEL, UNUSUAL
from service.web_form.ask_turnbuckle import YES_NO
from service.web_form.asking import N_, Choice, From, Match, Question, When, Wording, answered, both, either, is_, is_not
from service.web_form.terminals import LINKED, PINNED, THREADED

KINDS = (
    Choice("toggle", N_("Toggle")), Choice("shackle", N_("Shackle")),
    Choice("insulator", N_("Insulator"), N_("Between two pieces of a backstay. Name it at one of the two pieces only.")),
    Choice("bridle_plate", N_("Bridle plate, with three holes"), N_("Where a backstay splits into two legs. Name it at the backstay, not at the legs.")),
    Choice("gate_hook", N_("Gate hook"), N_("The hook of a lifeline's gate; it bears on the inside of the hook.")),
)  # fmt: skip
_CHANGES = {
    "kept": Choice("kept", N_("The old one stays"), N_("It is used again. Have it looked at for cracks and worn holes.")),
    "replaced": Choice("replaced", N_("A new one takes the place of the old one")),
    "added": Choice("added", N_("A new one is added: there was none")),
    "left_away": Choice("left_away", N_("The old one is left away, and nothing takes its place")),
}
CHANGES = tuple(_CHANGES[name] for name in LINK_CHANGES)
ENDS = ("upper", "lower")
PLACES = (1, 2)
_LABELS = {
    "upper": (
        N_("At the upper end, is there a toggle, a shackle or another link, or shall there be one?"), N_("And another one beyond it, at the upper end?"),
    ),
    "lower": (
        N_("At the lower end, is there a toggle, a shackle or another link, or shall there be one?"), N_("And another one beyond it, at the lower end?"),
    ),
}  # fmt: skip
_LEVEL_LABELS = {
    "upper": (
        N_("At the forward end, is there a toggle, a shackle or another link, or shall there be one?"), N_("And another one beyond it, at the forward end?"),
    ),
    "lower": (
        N_("At the after end, is there a toggle, a shackle or another link, or shall there be one?"), N_("And another one beyond it, at the after end?"),
    ),
}  # fmt: skip
_SEPARATE = N_(
    "Only a part of its own, besides the turnbuckle's own end and besides a toggle terminal: those are named already, and do not count twice. "
    "Where another kind takes the old one's place, name the old one first, as left away, and the new one after it, as added."
)


def links() -> tuple[Question, ...]:
    """The questions of both ends."""
    return tuple(question for end in ENDS for place in PLACES for question in _link(end, place))


def link(end: str, place: int) -> str:
    """The path of a link."""
    return f"{end}.links.{place}"


def was_there(end: str, place: int) -> When:
    """When the old assembly had this link, so that a reading can have included it."""
    return is_(f"{link(end, place)}.change", "kept", "replaced", "left_away")


def _link(end: str, place: int) -> tuple[Question, ...]:
    path, first = link(end, place), link(end, 1)
    return (
        Question(
            f"{path}.kind", "links", "choice", _LABELS[end][place - 1], _SEPARATE if place == 1 else "",
            wordings=(Wording(LEVEL, _LEVEL_LABELS[end][place - 1], _SEPARATE if place == 1 else ""),),
            when=both(_here(end), is_(UNUSUAL, "yes")) if place == 1 else answered(f"{first}.kind"), choices=KINDS, offered=_offered(end, place, "kind"),
        ),
        Question(
            f"{path}.change", "links", "choice", N_("What becomes of it?"), required=True, when=answered(f"{path}.kind"), choices=CHANGES,
            lacking=N_("Say what becomes of it: whether the old assembly had it, and whether the new one shall, changes the length."),
        ),
        Question(
            f"{path}.pin", "links", "choice", N_("Diameter of its pin"), N_("Measure the pin itself, not the hole."), required=True,
            when=answered(f"{path}.kind"), offered=_offered(end, place, "pin"),
        ),
        Question(
            f"{path}.sent_in", "links", "flag", N_("Do you send it to the shop?"), N_("If not, it stays with you, and the wire comes without it."),
            when=is_(f"{path}.change", "kept"), choices=YES_NO,
        ),
    )  # fmt: skip


def _here(end: str) -> When:
    """When anything can be attached at this end."""
    hung = both(is_("turnbuckle", True), is_("turnbuckle.at", end))
    bare = either(is_not("turnbuckle", True), is_not("turnbuckle.at", end))
    return either(both(hung, is_(f"{end}.terminal", *THREADED, *PINNED)), both(bare, is_(f"{end}.terminal", *LINKED)))


def _offered(end: str, place: int, column: str) -> tuple[From, ...]:
    """The choices for a link: what fits the turnbuckle or terminal for the first, and what fits the first link for the second, or in its place if it is left out."""
    first, second = link(end, 1), link(end, 2)
    hung = both(is_("turnbuckle", True), is_("turnbuckle.at", end))
    turnbuckle = (Match("end", f"turnbuckle.{end}_end"), Match("on_pin", "turnbuckle.pin"))
    terminal = (Match("terminal", f"{end}.terminal"), Match("on_pin", f"{end}.pin"), Match("diameter", "wire.diameter"))
    left = is_(f"{first}.change", "left_away")
    alone = (Match("kind", f"{link(end, place)}.kind"),) if column == "pin" else ()
    behind = (
        Match("kind", f"{first}.kind"),
        Match("pin", f"{first}.pin"),
        *((Match("next_kind", f"{second}.kind"),) if column == "pin" else ()),
    )
    of_turnbuckle, of_terminal = (
        From(table, column, (*inner, *alone)) for table, inner in (("turnbuckle_links", turnbuckle), ("links", terminal))
    )
    if place == 1:
        return From(of_turnbuckle.table, column, of_turnbuckle.match, hung), of_terminal
    return (
        From("turnbuckle_links", column, of_turnbuckle.match, both(hung, left)),
        From("links", column, of_terminal.match, left),
        From("turnbuckle_links", f"next_{column}", (*turnbuckle, *behind), hung),
        From("links", f"next_{column}", (*terminal, *behind)),
    )

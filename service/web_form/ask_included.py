"""What the reading included: the turnbuckle, and each link; and the lengths of old parts needed because of it."""

from __future__ import annotations

from service.web_form.ask_before import TURNBUCKLE_IS
from service.web_form.ask_links import ENDS, PLACES, link, was_there
from service.web_form.ask_place import LEVEL
from service.web_form.ask_turnbuckle import YES_NO
from service.web_form.asking import N_, Choice, Picture, Question, Value, When, Wording, answered, both, either, is_, is_not
from service.web_form.terminals import THREADED

_IN = {
    ("upper", 1): N_("At the upper end, is that link in the length you measured?"),
    ("upper", 2): N_("At the upper end, is the one beyond it in the length, too?"),
    ("lower", 1): N_("At the lower end, is that link in the length you measured?"),
    ("lower", 2): N_("At the lower end, is the one beyond it in the length, too?"),
}
_OLD = {
    ("upper", 1): N_("At the upper end, how long is the old link?"),
    ("upper", 2): N_("At the upper end, how long is the old one beyond it?"),
    ("lower", 1): N_("At the lower end, how long is the old link?"),
    ("lower", 2): N_("At the lower end, how long is the old one beyond it?"),
}
_LEVEL_IN = {
    ("upper", 1): N_("At the forward end, is that link in the length you measured?"),
    ("upper", 2): N_("At the forward end, is the one beyond it in the length, too?"),
    ("lower", 1): N_("At the after end, is that link in the length you measured?"),
    ("lower", 2): N_("At the after end, is the one beyond it in the length, too?"),
}
_LEVEL_OLD = {
    ("upper", 1): N_("At the forward end, how long is the old link?"),
    ("upper", 2): N_("At the forward end, how long is the old one beyond it?"),
    ("lower", 1): N_("At the after end, how long is the old link?"),
    ("lower", 2): N_("At the after end, how long is the old one beyond it?"),
}
_FROM_BEARING = N_(
    "A toggle, insulator or plate: between the walls of its holes that lie farthest apart. A shackle: from the inside of its bow to its pin. "
    "A gate hook: from the inside of its hook to the far wall of its hole. "
    "If you cannot measure it any more, leave it empty: the shop asks."
)
_LENGTHS = ("40 mm", "1 9/16 in")


def in_reading(end: str, place: int) -> When:
    """When the reading included that link."""
    return is_(f"{link(end, place)}.in_reading", True)


def outermost_in(end: str, place: int) -> When:
    """When this link is the outermost part that the reading included."""
    return in_reading(end, 2) if place == 2 else both(in_reading(end, 1), is_not(f"{link(end, 2)}.in_reading", True))


def _can_be_in(end: str, place: int) -> When:
    """When the reading can have included that link: beyond a turnbuckle or link that is not included, nothing is, so nothing is asked."""
    turnbuckle_in = either(is_not("turnbuckle", True), is_not("turnbuckle.at", end), is_("measurement.includes_turnbuckle", True))
    if place == 1:
        return turnbuckle_in
    return either(in_reading(end, 1), both(is_(f"{link(end, 1)}.change", "added"), turnbuckle_in))


def _is_out(end: str, place: int) -> When:
    turnbuckle_out = both(is_("turnbuckle", True), is_("turnbuckle.at", end), is_("measurement.includes_turnbuckle", False))
    not_in_reading = [is_(f"{link(end, inner)}.in_reading", False) for inner in PLACES if inner <= place]
    return either(turnbuckle_out, *not_in_reading)


def _link(end: str, place: int) -> tuple[Question, ...]:
    path, level = link(end, place), Wording(LEVEL, _LEVEL_OLD[end, place], _FROM_BEARING)
    return (
        Question(
            f"{path}.in_reading", "length", "flag", _IN[end, place], required=True, wordings=(Wording(LEVEL, _LEVEL_IN[end, place]),),
            when=both(was_there(end, place), _can_be_in(end, place)), choices=YES_NO,
        ),
        Question(
            f"{path}.dimensions.length", "length", "length", _OLD[end, place], _FROM_BEARING, examples=_LENGTHS, wordings=(level,),
            when=both(is_(f"{path}.change", "kept"), in_reading(end, place)),
        ),
        Question(
            f"{path}.old_length", "length", "length", _OLD[end, place], _FROM_BEARING, examples=_LENGTHS, wordings=(level,),
            when=both(is_(f"{path}.change", "replaced", "left_away"), _is_out(end, place)),
        ),
    )  # fmt: skip


_KEPT_IN = both(is_("turnbuckle.reuse", True), is_("measurement.includes_turnbuckle", True))
_AT_STUD = both(
    is_("measurement.includes_turnbuckle", False),
    either(*(both(is_("turnbuckle.at", end), is_(f"{end}.terminal", *THREADED)) for end in ENDS)),
)
_OTHER_OUT = both(is_("turnbuckle.reuse", False), is_("measurement.includes_turnbuckle", False), is_not("turnbuckle.like_for_like", True))
_BODY, _RUNOUT = N_("How long is the old turnbuckle's body?"), N_("How far is it from the outer screw's thread to the bearing?")
_FACES = N_("From face to face.")
_TO_WALL = N_("To the far wall of its pin hole.")

MEASURED_FROM = "measured_from"
_DATUMS: tuple[tuple[str, Value], ...] = tuple((f"measurement.{end}_datum", "bearing") for end in ENDS)
_NO_TURNBUCKLE = is_not("turnbuckle", True)
_STUD = either(*(both(TURNBUCKLE_IS, is_("turnbuckle.at", end), is_(f"{end}.terminal", *THREADED)) for end in ENDS))
_OWN = either(*(both(TURNBUCKLE_IS, is_("turnbuckle.at", end), is_not(f"{end}.terminal", *THREADED)) for end in ENDS))


def _from(value: str, label: str, when: When, included: bool | None = None, words: str = "") -> Choice:
    taken: tuple[tuple[str, Value], ...] = () if included is None else (("measurement.includes_turnbuckle", included),)
    return Choice(value, label, words, when, answers=(*taken, *_DATUMS))


def _pictures() -> tuple[Picture, ...]:
    """The pictures of the bearing at the turnbuckle's end, or at the lower end, for each choice."""
    whole, wire = is_(MEASURED_FROM, "whole"), is_(MEASURED_FROM, "stud", "own")
    hung = [Picture(f"{{turnbuckle.{end}_end}}-bearing", both(whole, is_("turnbuckle.at", end))) for end in ENDS]
    return (*hung, *(Picture(f"{{{end}.terminal}}-bearing", both(wire, is_("turnbuckle.at", end))) for end in ENDS))


INCLUDED = (
    Question(
        MEASURED_FROM, "length", "choice", N_("From where to where did you measure?"), required=True, short=True, pictures=_pictures(),
        choices=(
            _from("whole", N_("With the turnbuckle in it"), TURNBUCKLE_IS, True, N_("To the far wall of the turnbuckle's outer pin hole.")),
            _from("stud", N_("The wire without its turnbuckle"), _STUD, False, N_("To the last thread of its stud.")),
            _from("own", N_("The wire without its turnbuckle"), _OWN, False, N_("To where the wire's own end bears.")),
            _from("bearings", N_("From where one end bears to where the other bears"), _NO_TURNBUCKLE, None, N_("A pin hole: its wall farthest from the wire.")),
            Choice("else", N_("From or to another point of a fitting")),
        ),
    ),
    Question(
        "measurement.includes_turnbuckle", "length", "flag", N_("Is the turnbuckle in the length you measured?"),
        N_("Yes, if you measured to the pin that the turnbuckle hangs on."), required=True, when=both(TURNBUCKLE_IS, answered(MEASURED_FROM)), choices=YES_NO,
    ),
    Question("turnbuckle.dimensions.body", "length", "length", _BODY, _FACES, when=_KEPT_IN, examples=("4 in",)),
    Question("turnbuckle.dimensions.runout", "length", "length", _RUNOUT, _TO_WALL, when=_KEPT_IN, examples=("30 mm",)),
    Question(
        "turnbuckle.old.stud_thread_length", "length", "length", N_("How long is the thread of the wire's old stud?"),
        N_("From its tip's last thread to where the thread ends at the shank. If you cannot measure it, leave it empty: the shop asks."),
        when=_AT_STUD, examples=("63.5 mm", "2 1/2 in"),
    ),
    Question("turnbuckle.old.body", "length", "length", _BODY, _FACES, when=_OTHER_OUT, examples=("4 in",)),
    Question("turnbuckle.old.runout", "length", "length", _RUNOUT, _TO_WALL, when=_OTHER_OUT, examples=("30 mm",)),
    *(question for end in ENDS for place in PLACES for question in _link(end, place)),
)  # fmt: skip

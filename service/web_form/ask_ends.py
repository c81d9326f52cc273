"""Both ends of the wire: terminal, attachment, pin or thread."""

from __future__ import annotations

from pricing.fittings import FAMILIES
from service.web_form.ask_place import LEVEL, UNUSUAL
from service.web_form.asking import HAND_UNKNOWN, MEASURED, N_, UNKNOWN, Choice, From, Match, Question, Wording, answered, both, is_, is_not
from service.web_form.terminals import LABELS, PINNED, THREADED

HAND_CHOICES = (
    Choice("right", N_("Right-hand"), N_("Turned clockwise it goes in.")),
    Choice("left", N_("Left-hand"), N_("Turned anticlockwise it goes in.")),
)
ATTACHMENT_LABELS = {
    "swage": N_("Swaged"),
    "compression": N_("Compression, with cone and nut"),
    "sleeve": N_("Pressed sleeves"),
    "seizing": N_("Seized by hand"),
}
_OWN = N_("On the wire itself, not what it hangs on.")
_LEVEL_TITLES = {"upper": N_("What is at the forward end?"), "lower": N_("What is at the after end?")}
_TITLES = {"upper": N_("What is at the upper end?"), "lower": N_("What is at the lower end?")}


#: When the thread is known, with or without its hand.
_KNOWN = {end: both(is_(f"{end}.terminal", *THREADED), answered(f"{end}.screw"), is_not(f"{end}.screw", UNKNOWN)) for end in _TITLES}


def ends() -> tuple[Question, ...]:
    """The questions of the upper and of the lower end."""
    return (*_end("upper"), *_end("lower"))


def offered(end: str, column: str) -> tuple[From, ...]:
    """A column of the terminals that are compatible with the answers so far."""
    paths = {
        "terminal": f"{end}.terminal", "attachment": f"{end}.attachment", "construction": "wire.construction", "material": "wire.material", "diameter": "wire.diameter",
        "pin": f"{end}.pin", "screw": "", "thread": f"{end}.thread", "hand": f"{end}.hand",
    }  # fmt: skip
    before = dict.fromkeys(
        ("construction", "material", "diameter", *(each for each in tuple(paths)[: tuple(paths).index(column)] if paths[each]))
    )
    return (From("terminals", column, tuple(Match(name, paths[name]) for name in before)),)


def _end(end: str) -> tuple[Question, ...]:
    terminal = f"{end}.terminal"
    return (
        Question(
            terminal, end, "choice", _TITLES[end], _OWN if end == "upper" else "", required=True,
            wordings=(Wording(LEVEL, _LEVEL_TITLES[end]),), offered=offered(end, "terminal"),
            choices=tuple(Choice(name, LABELS[name], illustration=name if name != "none" else "") for name in FAMILIES),
        ),
        Question(
            f"{end}.attachment", end, "choice", N_("How is it fixed to the wire?"),
            N_("Swaged is smooth; compression has flats for spanners."),
            required=True, quiet=True, when=is_not(terminal, "none"), offered=offered(end, "attachment"),
            choices=tuple(Choice(name, label) for name, label in ATTACHMENT_LABELS.items()),
        ),
        Question(
            f"{end}.pin", end, "choice", N_("Diameter of its pin"), N_("Measure the pin itself, not the hole."), required=True,
            when=is_(terminal, *PINNED), offered=offered(end, "pin"), choices=(Choice(MEASURED, N_("I measured it with a caliper"), sent=False),),
        ),
        Question(
            f"{end}.measured_pin", end, "length", N_("What does the caliper say of the pin?"), required=True, when=is_(f"{end}.pin", MEASURED), examples=("9.5 mm", "0.374 in"),
        ),
        Question(
            f"{end}.old_pin", end, "length", N_("Diameter of the old pin, if it was another"),
            N_("Only where the new pin will be thicker or thinner than the one that the length was measured with."),
            when=both(is_(terminal, *PINNED), is_(UNUSUAL, "yes")), examples=("3/8 in", "8 mm"),
        ),
        Question(
            f"{end}.screw", end, "choice", N_("What thread is on its stud?"), N_("Its diameter, and threads over 25 mm or 1 in."),
            required=True, short=True, when=is_(terminal, *THREADED), offered=offered(end, "screw"), joined=(f"{end}.thread", f"{end}.hand"),
            choices=(
                Choice(HAND_UNKNOWN, N_("I know its size, not its hand"), sent=False), Choice(UNKNOWN, N_("I do not know: the shop will look"), sent=False),
            ),
        ),
        Question(
            f"{end}.thread", end, "choice", N_("What thread is on the stud?"),
            N_("Measure the outer diameter, and count the threads over 25 mm or 1 in."), required=True,
            when=_KNOWN[end], offered=offered(end, "thread"),
        ),
        Question(
            f"{end}.hand", end, "choice", N_("Is the stud's thread right-hand or left-hand?"),
            N_("Look along the stud: a thread that rises to the right is right-hand."), required=True,
            when=both(_KNOWN[end], is_not(f"{end}.screw", HAND_UNKNOWN)), offered=offered(end, "hand"), choices=HAND_CHOICES,
        ),
        Question(
            f"{end}.leave", end, "length", N_("How much wire to leave beyond the old bearing"),
            N_("The end is left bare, to be finished aboard."), required=True, when=is_(terminal, "none"), examples=("300 mm", "12 in"),
        ),
    )  # fmt: skip

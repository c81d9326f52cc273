"""Both ends of the wire: terminal, how it is fixed, pin or thread, toggles and shackles beyond it."""

from __future__ import annotations

from pricing.assembly import TERMINALS
from service.form.asking import N_, Choice, From, Match, Question, is_, is_not
from service.form.terminals import BEARINGS, LABELS

HAND_CHOICES = (
    Choice("right", N_("Right-hand"), N_("Turned clockwise it goes in.")),
    Choice("left", N_("Left-hand"), N_("Turned anticlockwise it goes in.")),
)
ATTACHMENT_LABELS = {"swage": N_("Swaged"), "compression": N_("Compression, with cone and nut"), "sleeve": N_("Pressed sleeves")}
_TITLES = {"upper": N_("What is at the upper end?"), "lower": N_("What is at the lower end?")}
HOLED = ("fork", "eye", "toggle")


def ends() -> tuple[Question, ...]:
    """The questions of the upper and of the lower end."""
    return (*_end("upper"), *_end("lower"))


def offered(end: str, column: str) -> tuple[From, ...]:
    """A column of the terminals that go with what was answered so far."""
    paths = {
        "terminal": f"{end}.terminal", "attachment": f"{end}.attachment", "construction": "wire.construction", "material": "wire.material", "diameter": "wire.diameter",
        "pin": f"{end}.pin", "thread": f"{end}.thread", "hand": f"{end}.hand",
    }  # fmt: skip
    before = dict.fromkeys(("construction", "material", "diameter", *tuple(paths)[: tuple(paths).index(column)]))
    return (From("terminals", column, tuple(Match(name, paths[name]) for name in before)),)


def _end(end: str) -> tuple[Question, ...]:
    terminal = f"{end}.terminal"
    return (
        Question(
            terminal, end, "choice", _TITLES[end], N_("The fitting on the wire itself, not what it hangs on."), required=True,
            offered=offered(end, "terminal"),
            choices=tuple(Choice(name, LABELS[name], BEARINGS[name], illustration=name if name != "none" else "") for name in TERMINALS),
        ),
        Question(
            f"{end}.attachment", end, "choice", N_("How is it fixed to the wire?"),
            N_("A swaged shank is smooth and one piece with the wire; a compression terminal has flats for spanners."),
            required=True, when=is_not(terminal, "none"), offered=offered(end, "attachment"),
            choices=tuple(Choice(name, label) for name, label in ATTACHMENT_LABELS.items()),
        ),
        Question(
            f"{end}.pin", end, "choice", N_("Diameter of its pin"), N_("Measure the pin itself, not the hole."), required=True,
            when=is_(terminal, *HOLED), offered=offered(end, "pin"),
        ),
        Question(
            f"{end}.old_pin", end, "length", N_("Diameter of the old pin, if it was another"),
            N_("Only where the new pin will be thicker or thinner than the one that the length was measured with."),
            when=is_(terminal, *HOLED), examples=("3/8 in", "8 mm"),
        ),
        Question(
            f"{end}.thread", end, "choice", N_("Which thread has the stud?"),
            N_("Measure the outer diameter, and count the threads over 25 mm or 1 in."), required=True,
            when=is_(terminal, "stud"), offered=offered(end, "thread"),
        ),
        Question(
            f"{end}.hand", end, "choice", N_("Which hand has the stud's thread?"),
            N_("Look along the stud: a thread that rises to the right is right-hand."), required=True,
            when=is_(terminal, "stud"), offered=offered(end, "hand"), choices=HAND_CHOICES,
        ),
        Question(
            f"{end}.leave", end, "length", N_("How much wire to leave beyond the old bearing"),
            N_("The end is left bare, to be finished aboard."), required=True, when=is_(terminal, "none"), examples=("300 mm", "12 in"),
        ),
    )  # fmt: skip

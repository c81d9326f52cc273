"""What each end joins: the boat's own plate, cheeks or ring, as far as it can be measured; or another piece of a divided backstay."""

from __future__ import annotations

from service.web_form.ask_place import LEVEL, UNUSUAL
from service.web_form.asking import N_, Choice, Question, When, Wording, both, either, is_, is_not, unanswered
from service.web_form.terminals import BACKED, LINKED, THREADED

_LABELS = {
    "plate": N_("One plate with a hole"), "cheeks": N_("Two cheeks, with a pin through both"), "ring": N_("A ring, a bow, or a bail on a stanchion"),
    "hook": N_("A hook"), "lashing": N_("A lashing"), "row_of_holes": N_("A plate with a row of holes"), "bored_plate": N_("A plate with a bore, which the thread goes through"),
}  # fmt: skip
_TITLES = {"upper": N_("At the upper end, what does it join on the boat?"), "lower": N_("At the lower end, what does it join on the boat?")}
_LEVEL_TITLES = {
    "upper": N_("At the forward end, what does it join on the boat?"),
    "lower": N_("At the after end, what does it join on the boat?"),
}
_BEYOND = N_("The boat's own fitting, beyond everything that comes off with the wire.")
_BACKED = {
    "upper": N_("If a plate backs the mast's wall at the slot for the upper tee: what becomes of it?"),
    "lower": N_("If a plate backs the mast's wall at the slot for the lower tee: what becomes of it?"),
}
CHANGES = (
    Choice("kept", N_("The old one stays")), Choice("replaced", N_("A new one takes the place of the old one")),
    Choice("added", N_("A new one is added: there was none")),
    Choice("left_away", N_("The old one is left away, and nothing takes its place")),
)  # fmt: skip
_OTHER = {
    "upper": N_("At the upper end, does it join another wire, or what is on it? Which?"),
    "lower": N_("At the lower end, does it join another wire, or what is on it? Which?"),
}
DIVIDED = ("backstay", "backstay_leg", "triatic")  # wires that an insulator or a bridle plate joins to each other
_PLATES = ("plate", "row_of_holes", "bored_plate")


def joins() -> tuple[Question, ...]:
    """The questions of both ends."""
    return (*_at("upper"), *_at("lower"))


def _at(end: str) -> tuple[Question, ...]:
    path = f"{end}.boat_fitting"
    kind, another = f"{path}.kind", f"{end}.joins"
    return (
        Question(
            another, "joins", "text", _OTHER[end], N_("Name it as you named that wire here. Leave it empty where it joins the boat."),
            when=both(is_("role", *DIVIDED), is_(UNUSUAL, "yes")), examples=("BACKSTAY",), copied=False,
        ),
        Question(
            kind, "joins", "choice", _TITLES[end], _BEYOND, wordings=(Wording(LEVEL, _LEVEL_TITLES[end], _BEYOND),),
            when=both(_asked(end), unanswered(another), is_(UNUSUAL, "yes")), choices=tuple(Choice(name, _LABELS[name], when=_possible(end, name)) for name in _LABELS),
        ),
        Question(
            f"{end}.backing_plate", "joins", "choice", _BACKED[end],
            N_("A plate with a slot, inside the wall or outside. Leave it open where there is none."),
            when=both(is_(f"{end}.terminal", *BACKED), is_(UNUSUAL, "yes")), choices=CHANGES,
        ),
        Question(
            f"{path}.hole", "joins", "length", N_("Diameter of its hole"), N_("Across the hole itself, not the pin; of a ring, its opening."),
            when=is_(kind, "cheeks", "ring", *_PLATES), examples=("10.5 mm", "13/32 in"),
        ),
        Question(
            f"{path}.thickness", "joins", "length", N_("How thick is it?"), N_("The plate, or the bar of the ring or hook."),
            when=is_(kind, "ring", "hook", *_PLATES), examples=("6 mm", "1/4 in"),
        ),
        Question(
            f"{path}.width", "joins", "length", N_("Clear width between the cheeks"), when=is_(kind, "cheeks"), examples=("10 mm", "3/8 in"),
        ),
        Question(
            f"{path}.pin_from", "joins", "choice", N_("Whose pin goes through both?"), when=is_(kind, "plate", "cheeks", "row_of_holes"),
            choices=(Choice("boat", N_("The boat's own, which stays there")), Choice("assembly", N_("One that comes with the wire"))),
        ),
    )  # fmt: skip


def _hung(end: str) -> When:
    return both(is_("turnbuckle", True), is_("turnbuckle.at", end))


def _bare_stud(end: str) -> When:
    return both(is_(f"{end}.terminal", *THREADED), either(is_not("turnbuckle", True), is_not("turnbuckle.at", end)))


def _asked(end: str) -> When:
    """When an end is asked about: not for a bare end, nor for a tee or ball, which fit only one kind of fitting."""
    return is_(f"{end}.terminal", *THREADED, *LINKED)


def _possible(end: str, name: str) -> When:
    if name == "bored_plate":
        return _bare_stud(end)
    return either(_hung(end), is_(f"{end}.terminal", *LINKED))

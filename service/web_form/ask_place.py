"""Which wire it is: its place on a drawn rig, which gives role, side and name, or these one by one; and for a copied wire, whether everything else is the same."""

from __future__ import annotations

from pricing.measurement.roles import ROLES
from service.web_form.asking import N_, Choice, Question, Value, Wording, answered, both, either, is_, is_not

PLACE, OTHER, UNUSUAL, COPY, ALIKE, DIFFERS = "place", "other", "unusual", "copy", "alike", "differs"
_LEVEL = ("lifeline_upper", "lifeline_lower", "gate_wire")
LEVEL = is_("role", *_LEVEL)  # a wire that lies level has a forward and an after end
STANDS = is_not("role", *_LEVEL)  # one that stands has an upper and a lower end
_PAIRS = (
    ("cap_shroud", "CAP", N_("Cap shroud, port"), N_("Cap shroud, starboard")),
    ("intermediate_shroud", "INT", N_("Intermediate, port"), N_("Intermediate, starboard")),
    ("fore_lower", "FORE-LOW", N_("Fore lower, port"), N_("Fore lower, starboard")),
    ("lower_shroud", "LOW", N_("Lower, port"), N_("Lower, starboard")),
    ("aft_lower", "AFT-LOW", N_("Aft lower, port"), N_("Aft lower, starboard")),
    ("lifeline_upper", "LIFE-UP", N_("Upper lifeline, port"), N_("Upper lifeline, starboard")),
    ("lifeline_lower", "LIFE-LOW", N_("Lower lifeline, port"), N_("Lower lifeline, starboard")),
)
_MIDDLE = (
    ("forestay", "FORESTAY", N_("Forestay")), ("inner_forestay", "INNER", N_("Inner forestay")), ("babystay", "BABYSTAY", N_("Babystay")),
    ("backstay", "BACKSTAY", N_("Backstay")),
)  # fmt: skip
_ENDINGS = {"port": "P", "starboard": "S"}
OPPOSITE = {f"{role} {side}": f"{role} {other}" for role, *_ in _PAIRS for side, other in (("port", "starboard"), ("starboard", "port"))}


def _choice(role: str, side: str, tag: str, label: str) -> Choice:
    answers: tuple[tuple[str, Value], ...] = (("role", role), ("side", side), ("tag", tag))
    return Choice(f"{role} {side}", label, answers=answers)


def _places() -> tuple[Choice, ...]:
    pairs = [
        _choice(role, side, f"{tag}-{_ENDINGS[side]}", label)
        for role, tag, *labels in _PAIRS
        for side, label in zip(_ENDINGS, labels, strict=True)
    ]
    middle = [_choice(role, "centre", tag, label) for role, tag, label in _MIDDLE]
    return (*pairs, *middle, Choice(OTHER, N_("Another wire, or one more of these")))


_NUMBERED = tuple(role.name for role in ROLES.values() if role.letter)
_IN_PIECES = tuple(role.name for role in ROLES.values() if role.pieces)
_NUMBER_HELP = N_(
    "V1 and D1 begin at the deck, V2 and D2 at the lowest spreaders, and so on. The pieces of a backstay with insulators count from the mast; "
    "a backstay in one piece has no number."
)

WHICH = (
    Question(COPY, "before", "flag", N_("Same as on the other side"), choices=(Choice(True, N_("Yes")),), short=True, copied=False),
    Question(
        ALIKE, "before", "choice", N_("Is everything on it like the one on the other side?"),
        N_("Look at fittings, pins and turnbuckle. A turnbuckle you keep: measure its body."), required=True, short=True, copied=False,
        when=is_(COPY, True), choices=(Choice("same", N_("Yes, I looked")), Choice(DIFFERS, N_("No, something differs"))),
    ),
    Question(PLACE, "before", "choice", N_("Which wire is it?"), required=True, short=True, choices=_places()),
    Question(
        "role", "before", "choice", N_("What kind of wire is it?"), required=True, when=answered(PLACE),
        choices=tuple(Choice(role.name, role.label) for role in ROLES.values()),
    ),
    Question(
        "side", "before", "choice", N_("On which side of the boat?"), N_("Looking forward."), when=answered(PLACE),
        choices=(Choice("port", N_("Port (left)")), Choice("starboard", N_("Starboard (right)")), Choice("centre", N_("On the centre line"))),
    ),
    Question(
        "tag", "before", "text", N_("Name of this wire"), N_("Short, and each only once: it stands on drawing and label."),
        required=True, examples=("CAP-P",), when=answered(PLACE),
    ),
    Question(
        UNUSUAL, "before", "choice", N_("Anything unusual?"),
        N_("A shackle, toggle or hook at an end; a turnbuckle at the top; another mast; several alike; a new pin or fitting unlike the old."),
        required=True, short=True,
        wordings=(Wording(LEVEL, N_("Anything unusual?"), N_("A shackle, toggle or hook at an end; a turnbuckle at the forward end; several alike; a new pin or fitting unlike the old.")),),
        choices=(
            Choice("no", N_("No"), answers=(("turnbuckle.at", "lower"), ("mast", "main"))),
            Choice("yes", N_("Yes"), opens=(
                "quantity", "number", *(f"{end}.{name}" for end in ("upper", "lower") for name in (
                    "old_pin", "links.1.kind", "boat_fitting.kind", "joins", "backing_plate")),
            )),
        ),
    ),
    Question(
        "mast", "before", "choice", N_("On which mast?"), default="main", when=both(answered(UNUSUAL), STANDS),
        choices=(Choice("main", N_("Main mast, or the only one")), Choice("fore", N_("Foremast")), Choice("mizzen", N_("Mizzen"))),
    ),
    Question(
        "number", "before", "count", N_("Which one is it, if there are several?"), _NUMBER_HELP, examples=("1",),
        when=either(is_("role", *_NUMBERED), both(is_("role", *_IN_PIECES), is_(UNUSUAL, "yes"))),
    ),
    Question(
        "quantity", "before", "count", N_("How many exactly alike?"), N_("One, unless you say more. Only where every length and setting is the same."),
        when=is_(UNUSUAL, "yes"),
    ),
)  # fmt: skip

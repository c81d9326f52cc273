"""The turnbuckle: its type, and whether the old one stays. On a stud, the wire's own thread is one of its screws; on a pin it has two."""

from __future__ import annotations

from service.web_form.ask_before import SETTING, TURNBUCKLE_IS
from service.web_form.ask_ends import HAND_CHOICES
from service.web_form.ask_place import LEVEL, UNUSUAL
from service.web_form.asking import HAND_UNKNOWN, N_, UNKNOWN, Choice, From, Match, Question, Wording, answered, both, either, is_, is_not
from service.web_form.terminals import PINNED, THREADED

YES_NO = (Choice(True, N_("Yes")), Choice(False, N_("No")))
SCREW_END_CHOICES = (Choice("toggle", N_("Toggle")), Choice("fork", N_("Fork")), Choice("eye", N_("Eye")))
_OTHER = {"lower": "upper", "upper": "lower"}
_AT = {end: both(TURNBUCKLE_IS, is_("turnbuckle.at", end)) for end in _OTHER}
_ON_STUD = {end: both(_AT[end], is_(f"{end}.terminal", *THREADED)) for end in _OTHER}
_ON_PIN = {end: both(_AT[end], is_(f"{end}.terminal", *PINNED)) for end in _OTHER}
_STUD_THERE, _PIN_THERE = either(*_ON_STUD.values()), either(*_ON_PIN.values())
_OUTER = {end: f"turnbuckle.{end}_outer" for end in _OTHER}
_BODY, _THREAD = Match("body", "turnbuckle.body"), Match("thread", "turnbuckle.thread")
_OUTER_END = tuple(Match("end", f"turnbuckle.{end}_end", _AT[end]) for end in _OTHER)
_INNER_END = tuple(Match("inner_end", f"turnbuckle.{_OTHER[end]}_end", _ON_PIN[end]) for end in _OTHER)
_INNER_PIN = Match("inner_pin", "turnbuckle.inner_pin")


def _offered(column: str, *more: Match, hung: tuple[Match, ...] = ()) -> tuple[From, ...]:
    """From the turnbuckles that fit the wire's stud, otherwise from those that fit the terminal's pin."""
    studs = tuple(
        Match(name, f"{end}.{path}", when) for end, when in _ON_STUD.items() for name, path in (("thread", "thread"), ("hand", "hand"))
    )
    pins = tuple(
        Match(name, f"{end}.{path}", when) for end, when in _ON_PIN.items() for name, path in (("terminal", "terminal"), ("on_pin", "pin"))
    )
    return From("turnbuckles", column, (*studs, *more), _STUD_THERE), From("hung_turnbuckles", column, (*pins, *hung, *more), _PIN_THERE)


def _outer(end: str) -> Question:
    """On a stud: the fitting at the turnbuckle's outer end, with its pin."""
    return Question(
        _OUTER[end], end, "choice", N_("What is at the turnbuckle's outer end, and how thick is its pin?"), required=True,
        short=True, when=_ON_STUD[end], offered=_offered("outer", _BODY)[:1], joined=(f"turnbuckle.{end}_end", "turnbuckle.pin"),
    )  # fmt: skip


def _end(end: str) -> Question:
    """The turnbuckle's fitting at one of its ends: the outer one or, on a pin, the one towards the wire. The upper end is asked first."""
    below = end == "lower"
    outer = _offered("end", _BODY, hung=(_THREAD, *(_INNER_END[:1] if below else ())))
    matches = (*_offered("inner_end")[1].match, _THREAD, _BODY, *(_OUTER_END[1:] if below else ()))
    inner = From("hung_turnbuckles", "inner_end", matches, _ON_PIN[_OTHER[end]])
    label = N_("What is at the turnbuckle's lower end?") if below else N_("What is at the turnbuckle's upper end?")
    level = N_("What is at the turnbuckle's after end?") if below else N_("What is at the turnbuckle's forward end?")
    return Question(
        f"turnbuckle.{end}_end", "turnbuckle", "choice", label, required=True, wordings=(Wording(LEVEL, level),),
        when=either(answered(_OUTER[end]), both(_AT[end], _PIN_THERE), _ON_PIN[_OTHER[end]]),
        offered=(inner, *outer), choices=SCREW_END_CHOICES,
    )  # fmt: skip


TURNBUCKLE = (
    Question(
        "turnbuckle.thread", "turnbuckle", "choice", N_("What thread is on the turnbuckle's screws?"), required=True, when=_PIN_THERE,
        offered=_offered("thread"),
    ),
    Question(
        "turnbuckle.body", "turnbuckle", "choice", N_("What body does it have?"), required=True, quiet=True, when=TURNBUCKLE_IS,
        choices=(Choice("open", N_("Open: both screws can be seen inside")), Choice("tubular", N_("A closed tube"))),
        offered=_offered("body", hung=(_THREAD,)),
    ),
    Question(
        "turnbuckle.hand",
        "turnbuckle",
        "choice",
        N_("Is the body's thread that takes the stud right-hand or left-hand?"),
        N_("A body hangs either way up; its thread toward the wire must be of the stud's hand."),
        required=True,
        quiet=True,
        when=both(_STUD_THERE, *(is_not(f"{end}.screw", UNKNOWN, HAND_UNKNOWN) for end in _OTHER)),
        offered=_offered("body_hand", _BODY)[:1],
        choices=HAND_CHOICES,
    ),
    Question(
        "turnbuckle.setting.read_from", "turnbuckle", "choice", N_("From which face did you measure the threads that show?"),
        N_("A locknut covers some of the thread. From its face, the shop adds what it covers."),
        when=both(is_("turnbuckle.body", "tubular"), either(*map(answered, SETTING))),
        choices=(Choice("body", N_("From the face of the body")), Choice("locknut", N_("From the face of the locknut"))),
    ),
    _outer("upper"),
    _outer("lower"),
    _end("upper"),
    _end("lower"),
    Question(
        "turnbuckle.inner_pin", "turnbuckle", "choice", N_("Diameter of the turnbuckle's pin toward the wire"), required=True, when=_PIN_THERE,
        offered=(From("hung_turnbuckles", "inner_pin", (*_offered("inner_pin")[1].match, _THREAD, _BODY, *_INNER_END, *_OUTER_END)),),
    ),
    Question(
        "turnbuckle.pin", "turnbuckle", "choice", N_("Diameter of the turnbuckle's outer pin"), N_("Measure the pin itself, not the hole."),
        required=True, when=either(_PIN_THERE, *map(answered, _OUTER.values())), offered=_offered("pin", _BODY, *_OUTER_END, hung=(_THREAD, *_INNER_END, _INNER_PIN)),
    ),
    Question(
        "turnbuckle.reuse", "turnbuckle", "flag", N_("Do you keep the old turnbuckle?"),
        N_("The shop then makes the wire only. Have a kept turnbuckle looked at for cracks and bent screws."), required=True,
        when=TURNBUCKLE_IS, choices=YES_NO,
    ),
    Question(
        "turnbuckle.dimensions.locknut", "turnbuckle", "length", N_("How high is the locknut?"),
        N_("Along the thread, that is as much as it covers."), examples=("5.5 mm", "7/32 in"),
        when=both(is_("turnbuckle.reuse", True), is_("turnbuckle.setting.read_from", "locknut")),
    ),
    Question(
        "turnbuckle.sent_in", "turnbuckle", "flag", N_("Do you send it to the shop?"),
        N_("If not, it stays with you, and the wire comes without it."), choices=YES_NO,
        when=both(is_("turnbuckle.reuse", True), is_(UNUSUAL, "yes")),
    ),
    Question(
        "turnbuckle.like_for_like", "turnbuckle", "flag", N_("Does the new turnbuckle have the old one's dimensions?"),
        N_("Body, screws and thread alike. If you do not know, leave it open: the new one is then built near the middle of its travel."),
        when=is_("turnbuckle.reuse", False), choices=YES_NO,
    ),
)  # fmt: skip

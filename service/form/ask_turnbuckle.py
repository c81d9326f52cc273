"""The turnbuckle: what it is, and whether the old one stays. On a stud the wire's own thread is one of its screws; on a pin it has two."""

from __future__ import annotations

from service.form.ask_before import TURNBUCKLE_IS
from service.form.ask_ends import HAND_CHOICES, HOLED
from service.form.asking import N_, Choice, From, Match, Question, both, either, is_

YES_NO = (Choice(True, N_("Yes")), Choice(False, N_("No")))
SCREW_END_CHOICES = (Choice("toggle", N_("Toggle")), Choice("fork", N_("Fork")), Choice("eye", N_("Eye")))
_OTHER = {"lower": "upper", "upper": "lower"}
_AT = {end: both(TURNBUCKLE_IS, is_("turnbuckle.at", end)) for end in _OTHER}
_ON_STUD = {end: both(_AT[end], is_(f"{end}.terminal", "stud")) for end in _OTHER}
_ON_PIN = {end: both(_AT[end], is_(f"{end}.terminal", *HOLED)) for end in _OTHER}
_STUD_THERE, _PIN_THERE = either(*_ON_STUD.values()), either(*_ON_PIN.values())
_BODY, _THREAD = Match("body", "turnbuckle.body"), Match("thread", "turnbuckle.thread")
_OUTER_END = tuple(Match("end", f"turnbuckle.{end}_end", _AT[end]) for end in _OTHER)
_INNER_END = tuple(Match("inner_end", f"turnbuckle.{_OTHER[end]}_end", _ON_PIN[end]) for end in _OTHER)
_INNER_PIN = Match("inner_pin", "turnbuckle.inner_pin")


def _offered(column: str, *more: Match, hung: tuple[Match, ...] = ()) -> tuple[From, ...]:
    """From the turnbuckles for the wire's stud, else from those for the terminal's pin."""
    studs = tuple(
        Match(name, f"{end}.{path}", when) for end, when in _ON_STUD.items() for name, path in (("thread", "thread"), ("hand", "hand"))
    )
    pins = tuple(
        Match(name, f"{end}.{path}", when) for end, when in _ON_PIN.items() for name, path in (("terminal", "terminal"), ("on_pin", "pin"))
    )
    return From("turnbuckles", column, (*studs, *more), _STUD_THERE), From("hung_turnbuckles", column, (*pins, *hung, *more), _PIN_THERE)


def _end(end: str) -> Question:
    """What the turnbuckle carries at one of its ends: the outer one, or, on a pin, the one toward the wire. The upper is asked first."""
    below = end == "lower"
    outer = _offered("end", _BODY, hung=(_THREAD, *(_INNER_END[:1] if below else ())))
    matches = (*_offered("inner_end")[1].match, _THREAD, _BODY, *(_OUTER_END[1:] if below else ()))
    inner = From("hung_turnbuckles", "inner_end", matches, _ON_PIN[_OTHER[end]])
    label = N_("What has the turnbuckle at its lower end?") if below else N_("What has the turnbuckle at its upper end?")
    return Question(
        f"turnbuckle.{end}_end", "turnbuckle", "choice", label, required=True, when=either(_AT[end], _ON_PIN[_OTHER[end]]),
        offered=(inner, *outer), choices=SCREW_END_CHOICES,
    )  # fmt: skip


TURNBUCKLE = (
    Question(
        "turnbuckle.thread", "turnbuckle", "choice", N_("Which thread have the turnbuckle's screws?"), required=True, when=_PIN_THERE,
        offered=_offered("thread"),
    ),
    Question(
        "turnbuckle.body", "turnbuckle", "choice", N_("Which body has it?"), required=True, when=TURNBUCKLE_IS,
        choices=(Choice("open", N_("Open: both screws can be seen inside")), Choice("tubular", N_("A closed tube"))),
        offered=_offered("body", hung=(_THREAD,)),
    ),
    Question(
        "turnbuckle.hand",
        "turnbuckle",
        "choice",
        N_("Which hand has the body's thread that takes the stud?"),
        N_("A body hangs either way up; its thread toward the wire must be of the stud's hand."),
        required=True,
        when=_STUD_THERE,
        offered=_offered("body_hand", _BODY)[:1],
        choices=HAND_CHOICES,
    ),
    _end("upper"),
    _end("lower"),
    Question(
        "turnbuckle.inner_pin", "turnbuckle", "choice", N_("Diameter of the turnbuckle's pin toward the wire"), required=True, when=_PIN_THERE,
        offered=(From("hung_turnbuckles", "inner_pin", (*_offered("inner_pin")[1].match, _THREAD, _BODY, *_INNER_END, *_OUTER_END)),),
    ),
    Question(
        "turnbuckle.pin", "turnbuckle", "choice", N_("Diameter of the turnbuckle's outer pin"), N_("Measure the pin itself, not the hole."),
        required=True, when=TURNBUCKLE_IS, offered=_offered("pin", _BODY, *_OUTER_END, hung=(_THREAD, *_INNER_END, _INNER_PIN)),
    ),
    Question(
        "turnbuckle.reuse", "turnbuckle", "flag", N_("Do you keep the old turnbuckle?"),
        N_("The shop then makes the wire only. Have a kept turnbuckle looked at for cracks and bent screws."), required=True,
        when=TURNBUCKLE_IS, choices=YES_NO,
    ),
    Question(
        "turnbuckle.like_for_like", "turnbuckle", "flag", N_("Has the new turnbuckle the old one's dimensions?"),
        N_("Body, screws and thread alike. If you do not know, leave it open: the new one is then built near the middle of its travel."),
        when=is_("turnbuckle.reuse", False), choices=YES_NO,
    ),
)  # fmt: skip

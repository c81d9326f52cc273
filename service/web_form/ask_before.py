"""The turnbuckle, and what must be recorded while the assembly is still rigged, since nobody can determine it afterwards."""

from __future__ import annotations

from service.web_form.ask_place import LEVEL, STANDS, WHICH
from service.web_form.asking import N_, Choice, Picture, Question, Value, Wording, answered, both, is_

HUNG, READ = "turnbuckle_is", "read_with"
TURNBUCKLE_IS = is_("turnbuckle", True)
EXPOSED = N_("From the body's face to where the thread ends. None showing: 0 mm.")
ONE_SETTING = N_(
    "Both screws are needed. Measure this one, too, before anything is unscrewed: a screw that shows no thread is 0 mm, "
    "but one that was not measured is not zero. If it cannot be measured any more, empty the other one too, and measure the length to the stud, without the turnbuckle."
)
_UPPER, _LOWER = "turnbuckle.setting.upper_exposed", "turnbuckle.setting.lower_exposed"
SETTING = (_UPPER, _LOWER)
SCREWS = (Picture("turnbuckle-level", LEVEL), Picture("turnbuckle"))
_THREADS = ("11/16 in", "17.5 mm")
_TOOLS = (("caliper", N_("Caliper")), ("pen_mark", N_("Pen marks on the thread")), ("tape_mark", N_("Tape on the thread")))


def _turnbuckle(value: str, label: str, body: str, kept: bool, *, alike: bool = True) -> Choice:
    answers: tuple[tuple[str, Value], ...] = (("turnbuckle", True), ("turnbuckle.body", body), ("turnbuckle.reuse", kept))
    like: tuple[tuple[str, Value], ...] = () if kept else (("turnbuckle.like_for_like", alike),)
    return Choice(value, label, answers=(*answers, *like))


BEFORE = (
    *WHICH,
    Question(
        HUNG, "before", "choice", N_("Which turnbuckle is on it?"), required=True, short=True,
        choices=(
            Choice("none", N_("None"), answers=(("turnbuckle", False),)),
            _turnbuckle("open kept", N_("Open, I keep it"), "open", True), _turnbuckle("closed kept", N_("Closed, I keep it"), "tubular", True),
            _turnbuckle("open new", N_("Open, new one like it"), "open", False), _turnbuckle("closed new", N_("Closed, new one like it"), "tubular", False),
            _turnbuckle("open other", N_("Open, new, sizes unknown"), "open", False, alike=False),
            _turnbuckle("closed other", N_("Closed, new, sizes unknown"), "tubular", False, alike=False),
        ),
    ),
    Question(
        "turnbuckle", "before", "presence", N_("Is there a turnbuckle on it?"), required=True, when=answered(HUNG),
        choices=(Choice(True, N_("Yes")), Choice(False, N_("No"))), pictures=SCREWS,
    ),
    Question(
        "turnbuckle.at", "before", "choice", N_("At which end is the turnbuckle?"), default="lower", when=TURNBUCKLE_IS,
        choices=(
            Choice("lower", N_("After end"), when=LEVEL), Choice("upper", N_("Forward end"), when=LEVEL),
            Choice("lower", N_("Lower end"), when=STANDS), Choice("upper", N_("Upper end"), when=STANDS),
        ),
    ),
    Question(
        _UPPER, "before", "length", N_("Thread showing at the upper screw"), EXPOSED, when=TURNBUCKLE_IS, wordings=(Wording(LEVEL, N_("Thread showing at the forward screw"), EXPOSED),),
        pictures=SCREWS, examples=_THREADS, zero=True, copied=False, together=_LOWER, lacking=ONE_SETTING,
    ),
    Question(
        _LOWER, "before", "length", N_("Thread showing at the lower screw"), when=TURNBUCKLE_IS, wordings=(Wording(LEVEL, N_("Thread showing at the after screw")),),
        pictures=SCREWS, zero=True, copied=False, together=_UPPER, lacking=ONE_SETTING,
    ),
    Question(
        READ, "before", "choice", N_("How did you read them?"), N_("With the rig set as for sailing."), required=True,
        short=True, when=TURNBUCKLE_IS,
        choices=(
            *(Choice(name, label, answers=(("turnbuckle.setting.recorded_with", name), ("measurement.rig_setting", "everyday"))) for name, label in _TOOLS),
            Choice("else", N_("Rig slack, or not known")),
        ),
    ),
    Question(
        "turnbuckle.setting.recorded_with", "before", "choice", N_("What did you read it with?"), when=both(TURNBUCKLE_IS, answered(READ)),
        choices=tuple(Choice(name, label) for name, label in _TOOLS),
    ),
    Question(
        "measurement.rig_setting", "before", "choice", N_("How is the rig set while you record it?"), when=both(TURNBUCKLE_IS, answered(READ)),
        choices=(
            Choice("everyday", N_("As for sailing")), Choice("slack", N_("Slackened")), Choice("unknown", N_("Not known")),
        ),
    ),
)  # fmt: skip

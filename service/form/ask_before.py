"""What must be recorded while the assembly still stands: afterwards nobody can tell it any more."""

from __future__ import annotations

from pricing.assembly import ROLES
from service.form.asking import N_, Choice, Question, is_

ROLE_LABELS = {
    "cap_shroud": N_("Cap shroud"), "intermediate_shroud": N_("Intermediate shroud"), "lower_shroud": N_("Lower shroud"),
    "fore_lower": N_("Fore lower shroud"), "aft_lower": N_("Aft lower shroud"), "forestay": N_("Forestay"),
    "inner_forestay": N_("Inner forestay"), "babystay": N_("Babystay"), "backstay": N_("Backstay"),
    "backstay_leg": N_("Backstay leg, below the bridle"), "running_backstay": N_("Running backstay"), "checkstay": N_("Checkstay"),
    "lifeline_upper": N_("Upper lifeline"), "lifeline_lower": N_("Lower lifeline"), "gate_wire": N_("Lifeline gate"),
    "halyard": N_("Wire halyard"), "trapeze_wire": N_("Trapeze wire"), "pennant": N_("Pennant"), "bobstay": N_("Bobstay"),
    "jumper": N_("Jumper stay"), "diamond": N_("Diamond stay"), "topping_lift": N_("Topping lift"), "triatic": N_("Triatic stay"),
}  # fmt: skip
TURNBUCKLE_IS = is_("turnbuckle", True)
EXPOSED = N_(
    "Before you turn anything: measure from the face of the body to where the thread ends, not to the fitting. "
    "Nothing showing is 0 mm; not measured is not zero."
)
ONE_SETTING = N_(
    "One screw is written and this one is not. Measure it before anything is unscrewed: a screw that shows no thread is 0 mm, "
    "but one that was not measured is not zero. If it cannot be measured any more, empty the other one too, and measure the length to the stud, without the turnbuckle."
)
_UPPER, _LOWER = "turnbuckle.setting.upper_exposed", "turnbuckle.setting.lower_exposed"
SETTING = (_UPPER, _LOWER)
_THREADS = ("11/16 in", "17.5 mm", "0 mm")

BEFORE = (
    Question(
        "role", "before", "choice", N_("Which wire is it?"), required=True,
        choices=tuple(Choice(role, ROLE_LABELS[role]) for role in ROLES),
    ),
    Question(
        "side", "before", "choice", N_("On which side of the boat?"),
        N_("Looking forward. Tie a label to it before it comes off: port and starboard are rarely quite alike."),
        choices=(Choice("port", N_("Port (left)")), Choice("starboard", N_("Starboard (right)")), Choice("centre", N_("On the centre line"))),
        copied=False,
    ),
    Question(
        "mast", "before", "choice", N_("On which mast?"), default="main",
        choices=(Choice("main", N_("Main mast, or the only one")), Choice("mizzen", N_("Mizzen"))),
    ),
    Question(
        "tag", "before", "text", N_("Name of this wire"), N_("Short and each only once: it stands on the drawing, and on the label of the finished wire."),
        required=True, examples=("CAP-P",), copied=False,
    ),
    Question("quantity", "before", "count", N_("How many exactly alike?"), N_("One, unless you say more. Only where every length and setting is the same.")),
    Question(
        "turnbuckle", "before", "presence", N_("Is there a turnbuckle on it?"), required=True,
        choices=(Choice(True, N_("Yes")), Choice(False, N_("No"))), illustration="turnbuckle",
    ),
    Question(
        "turnbuckle.at", "before", "choice", N_("At which end is the turnbuckle?"), default="lower", when=TURNBUCKLE_IS,
        choices=(Choice("lower", N_("Lower end")), Choice("upper", N_("Upper end"))),
    ),
    Question(
        _UPPER, "before", "length", N_("Thread showing at the upper screw"), EXPOSED, when=TURNBUCKLE_IS,
        illustration="turnbuckle", examples=_THREADS, zero=True, copied=False, together=_LOWER, lacking=ONE_SETTING,
    ),
    Question(
        _LOWER, "before", "length", N_("Thread showing at the lower screw"), EXPOSED, when=TURNBUCKLE_IS,
        illustration="turnbuckle", examples=_THREADS, zero=True, copied=False, together=_UPPER, lacking=ONE_SETTING,
    ),
    Question(
        "turnbuckle.setting.recorded_with", "before", "choice", N_("What did you read it with?"),
        N_("It tells how well the setting is known."), when=TURNBUCKLE_IS, copied=False,
        choices=(
            Choice("caliper", N_("Caliper")), Choice("pen_mark", N_("Pen marks on the thread")), Choice("tape_mark", N_("Tape on the thread")),
        ),
    ),
    Question(
        "measurement.rig_setting", "before", "choice", N_("How is the rig set while you record it?"),
        N_("Record it as the boat is sailed: a slack rig shows other threads."), when=TURNBUCKLE_IS,
        choices=(Choice("everyday", N_("As for sailing")), Choice("slack", N_("Slackened")), Choice("unknown", N_("Not known"))),
    ),
)  # fmt: skip

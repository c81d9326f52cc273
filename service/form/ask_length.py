"""The length, last of all: how it was measured, and to which place at each end."""

from __future__ import annotations

from pricing.assembly import DATUMS
from pricing.datums import OF_LINK, OF_TERMINAL
from service.form.ask_before import TURNBUCKLE_IS
from service.form.ask_turnbuckle import YES_NO
from service.form.asking import N_, Choice, Question, When, answered, both, either, is_, is_not, unanswered

DATUM_LABELS = {
    "bearing": N_("The bearing surface: the right place"), "pin_centre": N_("The centre of the pin"), "hole_centre": N_("The centre of the hole"),
    "pin_inside": N_("The side of the pin toward the wire"), "pin_outside": N_("The side of the pin away from the wire"),
    "outer_tip": N_("The outermost tip of the fitting"), "ball_centre": N_("The centre of the ball"), "stud_tip": N_("The very tip of the stud"),
}  # fmt: skip
_TITLES = {"upper": N_("From where did you measure at the upper end?"), "lower": N_("From where did you measure at the lower end?")}


def _datum(end: str) -> Question:
    return Question(
        f"measurement.{end}_datum", "length", "choice", _TITLES[end],
        N_("Lengths count from bearing surface to bearing surface. Elsewhere is no harm if you say so: it is converted, and the drawing shows it."),
        default="bearing", illustration=f"{{{end}.terminal}}-{{measurement.{end}_datum}}",
        choices=tuple(Choice(datum, DATUM_LABELS[datum], when=_possible(end, datum)) for datum in DATUMS),
    )  # fmt: skip


def _possible(end: str, datum: str) -> When:
    """When the outermost member that the reading takes in has this place."""
    if datum == "bearing":
        return ()
    first, second, linked = f"{end}.links.1.kind", f"{end}.links.2.kind", is_("measurement.includes_links", True)
    hung = both(is_("measurement.includes_turnbuckle", True), is_("turnbuckle.at", end))
    unlinked = either(is_not("measurement.includes_links", True), unanswered(first))
    bare = either(is_not("measurement.includes_turnbuckle", True), is_not("turnbuckle.at", end))
    links = [kind for kind, places in OF_LINK.items() if datum in places]
    cases = [both(linked, is_(second, kind)) for kind in links] + [both(linked, unanswered(second), is_(first, kind)) for kind in links]
    if datum in OF_TERMINAL["fork"]:
        cases.append(both(unlinked, hung))
    if families := [family for family, places in OF_TERMINAL.items() if datum in places]:
        cases.append(both(unlinked, bare, is_(f"{end}.terminal", *families)))
    return either(*cases)


LENGTH = (
    Question(
        "measurement.includes_turnbuckle", "length", "flag", N_("Is the turnbuckle in the length you measured?"),
        N_("Yes, if you measured to the pin that the turnbuckle hangs on."), required=True, when=TURNBUCKLE_IS, choices=YES_NO,
    ),
    Question(
        "measurement.includes_links", "length", "flag", N_("Are the toggles and shackles in it?"), required=True,
        when=either(answered("upper.links.1.kind"), answered("lower.links.1.kind")), choices=YES_NO,
    ),
    _datum("upper"),
    _datum("lower"),
    Question(
        "measurement.readings", "length", "lengths", N_("The length"),
        N_("From bearing surface to bearing surface, the wire straight. Measure twice and write both: two readings show a slip of the tape."),
        required=True, examples=("31 ft 4 5/16 in", "9558 mm", "9.558 m"), copied=False,
    ),
    Question(
        "measurement.support", "length", "choice", N_("How did the wire lie?"),
        choices=(
            Choice("flat", N_("Flat on the dock, pulled straight by hand")), Choice("hung", N_("Hung between two points")),
            Choice("aboard", N_("On the boat, as it stood")), Choice("pattern", N_("No old wire: a pattern line was measured")),
        ),
    ),
    Question("measurement.temperature", "length", "temperature", N_("Temperature of wire and tape"), examples=("18 degC", "64 degF"), copied=False),
    Question("note", "length", "lines", N_("Anything odd about this wire")),
)  # fmt: skip

"""The length, asked last: how it was measured, and to which point at each end."""

from __future__ import annotations

from pricing.fittings import FAMILIES
from pricing.fittings.base import HOLE
from pricing.measurement.assembly import DATUMS
from pricing.measurement.datums import OF_LINK
from service.web_form.ask_included import INCLUDED, MEASURED_FROM, outermost_in
from service.web_form.ask_links import PLACES, link
from service.web_form.ask_place import LEVEL
from service.web_form.ask_turnbuckle import YES_NO
from service.web_form.ask_wire import CONSTRUCTIONS, MATERIALS
from service.web_form.asking import N_, Choice, From, Match, Picture, Question, When, Wording, answered, both, either, is_, is_not

DATUM_LABELS = {
    "bearing": N_("The bearing surface: the right place"), "pin_centre": N_("The centre of the pin"), "hole_centre": N_("The centre of the hole"),
    "pin_inside": N_("The side of the pin toward the wire"), "pin_outside": N_("The side of the pin away from the wire"),
    "outer_tip": N_("The outermost tip of the fitting"), "ball_centre": N_("The centre of the ball"), "stud_tip": N_("The very tip of the stud"),
}  # fmt: skip
_TITLES = {"upper": N_("From where did you measure at the upper end?"), "lower": N_("From where did you measure at the lower end?")}

_LEVEL_TITLES = {"upper": N_("From where did you measure at the forward end?"), "lower": N_("From where did you measure at the after end?")}


_IS_KNOWN = both(  # what the reading ended at
    answered(MEASURED_FROM), either(is_not("turnbuckle", True), answered("measurement.includes_turnbuckle"))
)  # fmt: skip


def _datum(end: str) -> Question:
    return Question(
        f"measurement.{end}_datum", "length", "choice", _TITLES[end],
        N_("Lengths count from bearing surface to bearing surface. Elsewhere is no harm if you say so: it is converted, and the drawing shows it."),
        default="bearing", when=_IS_KNOWN, wordings=(Wording(LEVEL, _LEVEL_TITLES[end]),), pictures=_pictures(end),
        choices=tuple(Choice(datum, DATUM_LABELS[datum], when=_possible(end, datum)) for datum in DATUMS),
    )  # fmt: skip


def _pictures(end: str) -> tuple[Picture, ...]:
    """The outermost part that the reading included, since that is what was measured to: never the stud where the turnbuckle is in the length."""
    datum = f"{{measurement.{end}_datum}}"
    links = [
        Picture(
            f"{{{link(end, place)}.kind}}-{datum}", both(outermost_in(end, place), is_(f"{link(end, place)}.kind", "toggle", "shackle"))
        )
        for place in PLACES
    ]
    unlinked = both(*(is_not(f"{link(end, place)}.in_reading", True) for place in PLACES))
    bare = both(is_not(f"{end}.terminal", "none"), either(is_not("measurement.includes_turnbuckle", True), is_not("turnbuckle.at", end)))
    hung = both(is_("measurement.includes_turnbuckle", True), is_("turnbuckle.at", end))
    return (
        *links, Picture(f"{{turnbuckle.{end}_end}}-{datum}", both(unlinked, hung)), Picture(f"{{{end}.terminal}}-{datum}", both(unlinked, bare)),
    )  # fmt: skip


def _possible(end: str, datum: str) -> When:
    """When the outermost part included in the reading has this datum."""
    if datum == "bearing":
        return ()
    hung = both(is_("measurement.includes_turnbuckle", True), is_("turnbuckle.at", end))
    unlinked = both(*(is_not(f"{link(end, place)}.in_reading", True) for place in PLACES))
    bare = either(is_not("measurement.includes_turnbuckle", True), is_not("turnbuckle.at", end))
    kinds = [kind for kind, places in OF_LINK.items() if datum in places]
    cases = [both(outermost_in(end, place), is_(f"{link(end, place)}.kind", *kinds)) for place in PLACES if kinds]
    if datum in HOLE:
        cases.append(both(unlinked, hung))
    if families := [name for name, family in FAMILIES.items() if datum in family.datums]:
        cases.append(both(unlinked, bare, is_(f"{end}.terminal", *families)))
    return either(*cases)


LAID = "laid"
_MORE = is_(LAID, "else")
_STRETCHED = is_("measurement.support", "hung", "aboard")
_OLD_WIRE = tuple(Match(column, f"old_wire.{column}") for column in ("construction", "material", "diameter"))


def _old_wire(column: str, label: str, words: str = "", *, required: bool = True, choices: tuple[Choice, ...] = ()) -> Question:
    """A question about the wire that was measured: whatever hung or was stretched is the old wire."""
    place = [each.column for each in _OLD_WIRE].index(column)
    return Question(
        f"old_wire.{column}", "length", "choice", label, words, required=required, choices=choices,
        when=both(_STRETCHED, answered("old_wire.construction")) if place else _STRETCHED,
        offered=(From("wires", column, _OLD_WIRE[:place]),),
    )  # fmt: skip


LENGTH = (
    *INCLUDED,
    _datum("upper"),
    _datum("lower"),
    Question(
        "measurement.readings", "length", "lengths", N_("The length"),
        N_("Measure twice, write both."),
        required=True, examples=("31 ft 4 5/16 in", "9558 mm"), copied=False,
    ),
    Question(
        LAID, "length", "choice", N_("How did the wire lie?"), required=True, short=True,
        choices=(
            Choice("flat", N_("Flat, pulled straight by hand"), answers=(("measurement.support", "flat"),)),
            Choice("else", N_("Otherwise, or there is more to say (temperature, a note)"),
                   opens=("measurement.tape_start", "measurement.temperature", "note")),
        ),
    ),
    Question(
        "measurement.tape_start", "length", "choice", N_("Where on the tape does the length begin?"),
        N_("A hook or a ring at the tape's end is less exact than its marks."), when=_MORE,
        choices=(Choice("mark", N_("At one of its marks")), Choice("hook", N_("At its hook, ring or end"))),
    ),
    Question(
        "measurement.support", "length", "choice", N_("How was it held?"), when=answered(LAID),
        choices=(
            Choice("flat", N_("Flat on the dock, pulled straight by hand")), Choice("hung", N_("Hung between two points")),
            Choice("aboard", N_("On the boat, as it stood")), Choice("pattern", N_("No old wire: a pattern line was measured")),
        ),
    ),
    Question(
        "measurement.pull", "length", "force", N_("With what pull was it stretched between the points?"),
        N_("A spring balance at one end shows it. Without it nobody can tell how much its sag hides."),
        when=is_("measurement.support", "hung"), examples=("70 N", "16 lbf", "7 kgf"), copied=False,
    ),
    Question(
        "measurement.tape_on_wire", "length", "flag", N_("Did the tape lie along the wire, all the way?"),
        N_("Along the wire it sags as the wire does; beside it, it has a sag of its own, or none."),
        when=is_("measurement.support", "hung"), choices=YES_NO,
    ),
    _old_wire(
        "construction", N_("The wire that you measured: how is it laid?"),
        N_("Its own weight and stretch count, also where the new one is like it. Leave it open if none of these is right."),
        required=False, choices=CONSTRUCTIONS,
    ),
    _old_wire("material", N_("What is the old wire made of?"), choices=MATERIALS),
    _old_wire("diameter", N_("How thick is the old wire?")),
    Question(
        "measurement.tension", "length", "force", N_("Its tension while you measured it, if you know it"),
        N_("From a tension gauge, at the setting that you measured it at."), examples=("1.5 kN", "340 lbf"), copied=False,
        when=both(is_("measurement.support", "aboard"), is_not("measurement.rig_setting", "everyday")),
    ),
    Question(
        "everyday_tension", "length", "force", N_("Its tension as the boat is sailed, if you know it"),
        N_("From a tension gauge, at rest and not under sail."), when=_STRETCHED, examples=("2 kN", "450 lbf"),
    ),
    Question("measurement.temperature", "length", "temperature", N_("Temperature of wire and tape"), examples=("18 degC", "64 degF"), copied=False, when=_MORE),
    Question(
        "note", "length", "lines", N_("Anything odd about this wire"),
        N_("Somebody of the shop reads it, and answers, before this wire is cut."), when=_MORE,
    ),
)  # fmt: skip

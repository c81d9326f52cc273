"""The wire: its construction, material and diameter, or what is known of them."""

from __future__ import annotations

from service.web_form.asking import MEASURED, N_, UNKNOWN, Choice, From, Match, Question, answered, both, is_, is_not

_MATCH = (Match("construction", "wire.construction"), Match("material", "wire.material"), Match("diameter", "wire.diameter"))

CONSTRUCTIONS = (
    Choice("1x19", N_("1x19: one stiff strand"), N_("19 round wires, laid as one strand: most shrouds and stays.")),
    Choice("compacted_1x19", N_("Compacted 1x19: one smooth strand"), N_("19 wires pressed flat against each other: smoother and stronger at the same size.")),
    Choice("7x7", N_("7x7: seven strands"), N_("7 strands of 7 wires each: bends, as in lifelines and small stays.")),
    Choice("7x19", N_("7x19: seven fine strands"), N_("7 strands of 19 wires each: runs over sheaves, as halyards do.")),
)  # fmt: skip
MATERIALS = (
    Choice("316", N_("Stainless steel 316"), N_("What rigs on salt water are usually made of.")),
    Choice("composition_b", N_("Stainless steel, composition B"), N_("A wire for control cables, so called in its standard, MIL-DTL-83420.")),
    Choice("316_coated", N_("Stainless steel 316 in a vinyl cover"), N_("Lifelines. Its size is that of the wire under the cover: strip a hand's width and measure there.")),
    Choice("galvanised", N_("Galvanised steel"), N_("Zinc-coated steel, as classic boats carry it: grey, and rusty where the zinc is gone.")),
)  # fmt: skip
KIND = "wire_kind"
_KINDS = (
    Choice("1x19 | 316", N_("One stiff strand (1x19)")),
    Choice("compacted_1x19 | 316", N_("Compacted strand (1x19)")),
    Choice("7x7 | 316", N_("Seven strands (7x7)")),
    Choice("7x7 | 316_coated", N_("Seven strands in vinyl (7x7)")),
    Choice("7x19 | 316", N_("Seven fine strands (7x19)")),
    Choice("7x7 | galvanised", N_("Galvanised (7x7)")),
    Choice("7x7 | composition_b", N_("Composition B (7x7)")),
    Choice("7x19 | composition_b", N_("Composition B (7x19)")),
    Choice(UNKNOWN, N_("I do not know: the shop will look"), sent=False),
)
_KIND_KNOWN = both(answered(KIND), is_not(KIND, UNKNOWN))


def _offered(column: str) -> tuple[From, ...]:
    place = [each.column for each in _MATCH].index(column)
    return (From("wires", column, _MATCH[:place]),)


WIRE = (
    Question(
        KIND, "wire", "choice", N_("What wire is it?"), N_("At a cut end: single wires, or seven strands?"), required=True, short=True,
        offered=(From("wires", "kind"),), joined=("wire.construction", "wire.material"), choices=_KINDS,
    ),
    Question(
        "wire.construction", "wire", "choice", N_("How is the wire laid?"),
        N_("Look at a cut end, or count the strands you can see around the wire."), when=_KIND_KNOWN,
        required=True, offered=_offered("construction"), choices=CONSTRUCTIONS,
    ),
    Question("wire.material", "wire", "choice", N_("What is it made of?"), required=True, when=_KIND_KNOWN, offered=_offered("material"), choices=MATERIALS),
    Question(
        "wire.diameter", "wire", "choice", N_("How thick is it?"),
        N_("The bare wire, across its strands."), required=True, offered=_offered("diameter"),
        choices=(
            Choice(MEASURED, N_("I measured it with a caliper"), sent=False), Choice(UNKNOWN, N_("I do not know: the shop will look"), sent=False),
        ),
    ),
    Question(
        "wire.measured", "wire", "length", N_("What does the caliper say?"), required=True, when=is_("wire.diameter", MEASURED), examples=("4.8 mm", "0.19 in"),
    ),
)  # fmt: skip

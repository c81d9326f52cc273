"""The wire."""

from __future__ import annotations

from service.form.asking import N_, Choice, From, Match, Question

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
)  # fmt: skip


def _offered(column: str) -> tuple[From, ...]:
    place = [each.column for each in _MATCH].index(column)
    return (From("wires", column, _MATCH[:place]),)


WIRE = (
    Question(
        "wire.construction", "wire", "choice", N_("How is the wire laid?"),
        N_("Look at a cut end, or count the strands you can see around the wire."),
        required=True, offered=_offered("construction"), choices=CONSTRUCTIONS,
    ),
    Question("wire.material", "wire", "choice", N_("What is it made of?"), required=True, offered=_offered("material"), choices=MATERIALS),
    Question(
        "wire.diameter", "wire", "choice", N_("How thick is it?"),
        N_("Measure across the crowns with a caliper, bare wire, away from the ends, and choose the nominal size."),
        required=True, offered=_offered("diameter"),
    ),
)  # fmt: skip

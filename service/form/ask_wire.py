"""The wire."""

from __future__ import annotations

from service.form.asking import N_, From, Match, Question

_MATCH = (Match("construction", "wire.construction"), Match("material", "wire.material"), Match("diameter", "wire.diameter"))


def _offered(column: str) -> tuple[From, ...]:
    place = [each.column for each in _MATCH].index(column)
    return (From("wires", column, _MATCH[:place]),)


WIRE = (
    Question(
        "wire.construction", "wire", "choice", N_("How is the wire laid?"),
        N_("Count the strands and the wires in a strand: 1x19 is one stiff strand of 19 wires, 7x7 and 7x19 are ropes of 7 strands."),
        required=True, offered=_offered("construction"),
    ),
    Question("wire.material", "wire", "choice", N_("What is it made of?"), required=True, offered=_offered("material")),
    Question(
        "wire.diameter", "wire", "choice", N_("How thick is it?"),
        N_("Measure across the crowns with a caliper, bare wire, away from the ends, and choose the nominal size."),
        required=True, offered=_offered("diameter"),
    ),
)  # fmt: skip

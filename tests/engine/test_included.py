"""How far a reading extended: whatever lies beyond an excluded part was excluded too, and need not be declared again."""

from __future__ import annotations

from decimal import Decimal

import pytest

from pricing.measurement.assembly import Assembly, End, Link, Measurement, Turnbuckle, WireSpec
from pricing.measurement.included import questions_on_what_was_included

KEPT = Link("toggle", change="kept")


def assembly(*links: Link, turnbuckle: bool | None = None, whole: bool | None = None) -> Assembly:
    """A shroud with links below. `turnbuckle`: whether the reading included it (None: there is none); `whole`: the measurement's `includes_links`."""
    measured = Measurement((Decimal(9000),), includes_turnbuckle=turnbuckle, includes_links=whole)
    there = None if turnbuckle is None else Turnbuckle("open", lower_end="fork")
    wire = WireSpec("1x19", Decimal(5), "5 mm")
    return Assembly("A", "cap_shroud", wire, End("tee", "swage"), End("stud", "swage", links=links), measured, turnbuckle=there)


@pytest.mark.parametrize(
    ("shroud", "open_end"),
    [
        (assembly(KEPT), True),
        (assembly(KEPT, whole=False), False),
        (assembly(KEPT, turnbuckle=False), False),  # beyond the turnbuckle, which was out
        (assembly(KEPT, turnbuckle=True), True),
        (assembly(Link("toggle", change="kept", in_reading=False), KEPT), False),  # the second lies beyond the first
        (assembly(Link("toggle", change="kept", in_reading=True), KEPT), True),
        (assembly(Link("toggle", change="added")), False),  # there was none
        (assembly(KEPT, Link("shackle", change="kept", in_reading=False)), True),
    ],
)
def test_how_far_the_reading_extended_is_asked_only_where_it_is_unknown(shroud: Assembly, open_end: bool) -> None:
    assert ("includes-links-missing" in [each.code for each in questions_on_what_was_included(shroud)]) is open_end

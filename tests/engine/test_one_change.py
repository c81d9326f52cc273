"""A sound assembly with one to three things changed: nothing raises, and every quote is complete. This finds what random requests never
reach."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as st

from pricing.measurement import assembly as measured
from pricing.measurement.roles import ROLES
from tests.counts import some

from .made_up import MadeUp, assemblies
from .shop import ask
from .test_never_raises import (
    CELSIUS,
    ENDS,
    EXPOSED,
    FORCES,
    LENGTHS,
    LINKS,
    READ_THREADS,
    SKUS,
    SMALL,
    STOPS,
    THREADS,
    TURNBUCKLES,
    WIRES,
    assert_complete,
    maybe,
    one,
    own,
)

ENDS_FIELDS = {
    "pin": maybe(SMALL), "thread": maybe(THREADS), "hand": maybe(one(measured.HANDS)), "sku": maybe(SKUS),
    "links": st.lists(LINKS, max_size=3).map(tuple), "old_pin": maybe(SMALL), "boat_hole": maybe(one(measured.BOAT_HOLES)), "reuse": st.just(True),
    "measured_pin": SMALL, "measured_thread": READ_THREADS, "dimensions": own(measured.OwnTerminal),
}  # fmt: skip
TURNBUCKLE_FIELDS = {
    "thread": maybe(THREADS), "hand": maybe(one(measured.HANDS)), "upper_end": maybe(one(measured.SCREW_ENDS)), "lower_end": maybe(one(measured.SCREW_ENDS)),
    "pin": maybe(SMALL), "inner_pin": maybe(SMALL), "reuse": st.booleans(), "at": one(("upper", "lower")), "build_at": maybe(one(measured.BUILD_AT)),
    "setting": maybe(st.builds(measured.Setting, EXPOSED, EXPOSED, maybe(one(measured.RECORDED_WITH)))), "like_for_like": maybe(st.booleans()),
    "dimensions": own(measured.OwnTurnbuckle), "old": st.builds(measured.OldTurnbuckle, SMALL, SMALL, SMALL), "body": one(measured.BODIES),
}  # fmt: skip
MEASURED_FIELDS = {
    "readings": st.lists(LENGTHS, min_size=1, max_size=4).map(tuple), "includes_turnbuckle": maybe(st.booleans()), "support": maybe(one(measured.SUPPORTS)),
    "includes_links": maybe(st.booleans()), "upper_datum": one(measured.DATUMS), "lower_datum": one(measured.DATUMS), "temperature": maybe(CELSIUS),
    "pull": FORCES, "tape_pull": FORCES, "tape_area": FORCES, "tape_standard_pull": FORCES, "tape_weight": FORCES, "resolution": maybe(SMALL),
    "tape_class": maybe(one(measured.TAPE_CLASSES)), "tape_material": maybe(one(measured.TAPE_MATERIALS)), "rig_setting": maybe(one(measured.RIG_SETTINGS)),
}  # fmt: skip
FIELDS = {
    "wire": WIRES, "upper": ENDS, "lower": ENDS, "turnbuckle": maybe(TURNBUCKLES), "stops": st.lists(STOPS, max_size=4).map(tuple),
    "old_wire": WIRES, "everyday_tension": FORCES, "role": one(tuple(ROLES)), "side": maybe(one(measured.SIDES)), "quantity": st.integers(1, 999),
    "furled": st.just(True), "deflection_test": st.builds(measured.DeflectionTest, LENGTHS, LENGTHS, FORCES), "sheave_diameter": SMALL,
    "wire_age_years": st.integers(0, 100),
}  # fmt: skip


@st.composite
def changed(draw: st.DrawFn, sent: measured.Assembly) -> measured.Assembly:
    """One field of the assembly, an end, the turnbuckle or the measurement replaced."""
    part = draw(st.sampled_from(("whole", "upper", "lower", "turnbuckle", "measurement")))
    fields = {"turnbuckle": TURNBUCKLE_FIELDS, "measurement": MEASURED_FIELDS, "whole": FIELDS}.get(part, ENDS_FIELDS)
    name = draw(st.sampled_from(sorted(fields)))
    value = draw(fields[name])
    if part == "whole":
        return replace(sent, **{name: value})
    old = getattr(sent, part)
    return sent if old is None else replace(sent, **{part: replace(old, **{name: value})})


@st.composite
def nearly_sound(draw: st.DrawFn) -> measured.Assembly:
    """A sound assembly, changed once to three times."""
    made: MadeUp = draw(assemblies())
    sent = made.assembly
    for _ in range(draw(st.integers(1, 3))):
        sent = draw(changed(sent))
    return sent


@settings(max_examples=some(1000, 30))
@given(st.lists(nearly_sound(), min_size=1, max_size=2))
def test_a_sound_request_with_a_few_things_changed_never_raises_and_its_quote_is_complete(sent: list[measured.Assembly]):
    assert_complete(ask(*sent, boat=measured.Boat("Tern", Decimal(8400))))

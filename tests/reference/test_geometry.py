"""Closed formulas against second routes: the eye's loop against a taut polygon, growth against summed rings of metal, a ball's ring against
its outline. The routes are those of `tests/engine/inverse.py`.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pricing.fittings.attachment import derived_growth
from pricing.fittings.barrel import ring_to_centre
from pricing.fittings.thimble_eye import loop_length
from tests.engine.shop import size
from tests.engine.yardstick import metal_growth, mm, ring_behind_centre, table, wire_loop

EYES = [
    (row["sku"], mm(row["groove_radius"]), mm(each), mm(row["crown_to_sleeve"]))
    for row in table("thimbles")
    for each in row["wire_sizes"].split(";")
]


@pytest.mark.parametrize(("sku", "groove", "wire", "to_sleeve"), EYES)
def test_every_thimbles_loop_is_as_long_as_a_taut_string_round_it(sku: str, groove: float, wire: float, to_sleeve: float):
    assert loop_length(groove, wire, to_sleeve) == pytest.approx(wire_loop(groove, wire, to_sleeve), abs=1e-5)


@settings(max_examples=25)
@given(st.floats(2, 30), st.floats(0.05, 0.9), st.floats(1.05, 6))
def test_any_loop_is_as_long_as_a_taut_string(groove: float, wire_share: float, apart: float):
    wire = groove * wire_share
    to_sleeve = apart * (groove + wire / 2)
    assert loop_length(groove, wire, to_sleeve) == pytest.approx(wire_loop(groove, wire, to_sleeve), rel=1e-6)


@pytest.mark.parametrize("to_sleeve", [0.1, 5.0, 10.5])
def test_a_sleeve_face_inside_the_thimble_is_refused(to_sleeve: float):
    with pytest.raises(ValueError, match="inside the thimble"):
        loop_length(9.5, 4.76, to_sleeve)


SHANKS = {  # straight swage shanks, inches: before, bore, swaged length, after (FAA AC 43.13-1B table 7-5, from memory)
    1 / 8: (0.250, 0.141, 1.438, 0.219), 5 / 32: (0.297, 0.172, 1.688, 0.250), 3 / 16: (0.359, 0.203, 1.938, 0.313),
    1 / 4: (0.494, 0.265, 2.438, 0.438), 5 / 16: (0.635, 0.328, 2.938, 0.563),
}  # fmt: skip


@pytest.mark.parametrize(("wire", "shank"), SHANKS.items())
@pytest.mark.parametrize("share", [19 / 25, 49 / 81, 133 / 225])
def test_a_derived_growth_keeps_the_metal(wire: float, shank: tuple[float, ...], share: float):
    """Rings of the blank shank summed, and the length sought that holds them round the wire's metal (19/25, 49/81, 133/225 of its circle)."""
    before, bore, length, after = (each * 25.4 for each in shank)
    d = wire * 25.4
    metal = share * math.pi / 4 * d**2
    assert derived_growth(length, before, bore, after, d, share) == pytest.approx(
        metal_growth(before, bore, after, length, metal), abs=1e-5
    )


def test_a_derived_growth_by_hand():
    """3/16 in, 1x19: (0.359² − 0.203²)/(0.313² − 0.76·0.1875²) = 0.087672/0.071250 = 1.230484; 1.938 · 0.230484 = 0.44668 in."""
    assert derived_growth(1.938, 0.359, 0.203, 0.313, 0.1875, 0.76) == pytest.approx(0.44668, abs=2e-5)


def test_a_shank_swaged_thinner_than_its_wire_is_refused():
    with pytest.raises(ValueError, match="thinner"):
        derived_growth(40, 6, 4, 3, 4, 0.9)


@settings(max_examples=100)
@given(st.floats(4, 40), st.floats(0.1, 0.99))
def test_a_ball_sits_on_a_ring_of_its_outline(ball: float, share: float):
    slot = ball * share
    exact = ring_to_centre(size(f"{ball:.4f} mm"), size(f"{slot:.4f} mm"))
    assert float(exact) == pytest.approx(ring_behind_centre(float(f"{ball:.4f}"), float(f"{slot:.4f}")), abs=1e-6)

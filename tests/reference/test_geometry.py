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
from tests.counts import some
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


@settings(max_examples=some(25, 12))
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
    """Rings of the blank shank and the wire in it (19/25, 49/81, 133/225 of its circle) summed, and the length of the solid bar sought that holds both."""
    before, bore, length, after = (each * 25.4 for each in shank)
    d = wire * 25.4
    metal = share * math.pi / 4 * d**2
    assert derived_growth(length, before, bore, after, d, share) == pytest.approx(
        metal_growth(before, bore, after, length, metal), abs=1e-5
    )


BY_HAND = {  # 1x19, k 0.76, inches, with paper and pencil: L·((D0² − b² + k·d²)/D1² − 1)
    1 / 8: 0.19588,  # (0.062500 − 0.019881 + 0.011875)/0.047961 = 1.136215; 1.438 · 0.136215
    5 / 32: 0.39647,  # (0.088209 − 0.029584 + 0.018555)/0.062500 = 1.234875; 1.688 · 0.234875
    3 / 16: 0.32485,  # (0.128881 − 0.041209 + 0.026719)/0.097969 = 1.167622; 1.938 · 0.167622
    1 / 4: 0.37447,  # (0.244036 − 0.070225 + 0.047500)/0.191844 = 1.153599; 2.438 · 0.153599
    5 / 16: 0.49025,  # (0.403225 − 0.107584 + 0.074219)/0.316969 = 1.166864; 2.938 · 0.166864
}


@pytest.mark.parametrize(("wire", "inches"), BY_HAND.items())
def test_a_derived_growth_by_hand(wire: float, inches: float):
    before, bore, length, after = SHANKS[wire]
    assert derived_growth(length, before, bore, after, wire, 0.76) == pytest.approx(inches, abs=1e-5)


def test_a_derived_growth_is_less_than_the_barrel_alone_would_lengthen():
    """5 mm 1x19: 51·((9.8² − 5.4² + 0.76·5²)/8.5² − 1) = 51·(85.88/72.25 − 1) = 9.62 mm; the barrel round a wire that is not drawn: 13.05 mm."""
    grown = derived_growth(51, 9.8, 5.4, 8.5, 5, 0.76)
    assert grown == pytest.approx(9.62, abs=0.005)
    assert grown < 51 * ((9.8**2 - 5.4**2) / (8.5**2 - 0.76 * 5**2) - 1) == pytest.approx(13.05, abs=0.005)


@settings(max_examples=some(100))
@given(st.floats(4, 40), st.floats(0.1, 0.99))
def test_a_ball_sits_on_a_ring_of_its_outline(ball: float, share: float):
    slot = ball * share
    exact = ring_to_centre(size(f"{ball:.4f} mm"), size(f"{slot:.4f} mm"))
    assert float(exact) == pytest.approx(ring_behind_centre(float(f"{ball:.4f}"), float(f"{slot:.4f}")), abs=1e-6)

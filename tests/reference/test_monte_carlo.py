"""The uncertainty budget against a Monte Carlo of the same doubts (JCGM 101: distributions propagated, not variances)."""

import math
import random
from decimal import Decimal

import pytest

from pricing.assembly import Setting
from pricing.fittings.base import Doubt
from pricing.uncertainty import budget, reading_doubt, setting_doubts, tape_doubt

DRAWS = 40_000


def test_the_combined_uncertainty_is_the_scatter_of_a_thousand_shrouds_measured_so():
    """A reading to 1 mm, a class II tape over 9 m, two threads read with a caliper, two test-swaged growths: rectangles and normals drawn apart."""
    length = Decimal(9000)
    doubts = [
        reading_doubt([length], Decimal(1)),
        tape_doubt("II", length),
        *setting_doubts(Setting(Decimal(20), Decimal(20), "caliper"), Decimal("1.5")),
        Doubt("growth", 0.4, None, ""),
        Doubt("growth", 0.4, None, ""),
    ]
    made = budget(doubts)
    rng = random.Random(20261125)
    tape = 0.3 + 0.2 * 9  # OIML R 35-1, class II
    errors = []
    for _ in range(DRAWS):
        rectangles = rng.uniform(-0.5, 0.5) + rng.uniform(-tape, tape) + rng.uniform(-0.2, 0.2) + rng.uniform(-0.2, 0.2)
        errors.append(rectangles + rng.gauss(0, 0.4) + rng.gauss(0, 0.4))
    mean = sum(errors) / DRAWS
    scatter = math.sqrt(sum((each - mean) ** 2 for each in errors) / (DRAWS - 1))
    assert made.combined == pytest.approx(scatter, rel=0.02)
    inside = sum(abs(each) <= made.expanded for each in errors) / DRAWS
    assert inside >= 0.95  # a rectangle that dominates has shorter tails than a normal: U covers at least what it says


def test_repeated_readings_cover_the_true_length_as_often_as_they_say():
    """Three readings that scatter by 2 mm, hundreds of times over: U from Student's t with 2 degrees of freedom covers 95.45 % of them."""
    rng = random.Random(7)
    covered, rounds = 0, 4000
    for _ in range(rounds):
        readings = [Decimal(f"{5000 + rng.gauss(0, 2):.4f}") for _ in range(3)]
        made = budget([reading_doubt(readings, Decimal("0.01"))])
        covered += abs(float(sum(readings)) / 3 - 5000) <= made.expanded
    assert covered / rounds == pytest.approx(0.9545, abs=0.012)

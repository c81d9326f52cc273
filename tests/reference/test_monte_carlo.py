"""The uncertainty budget against a Monte Carlo of the same doubts (JCGM 101: distributions propagated, not variances)."""

import math
import random
from decimal import Decimal

import pytest

from pricing.fittings.base import Contribution
from pricing.measurement.assembly import Setting
from pricing.measurement.readings import blunders
from pricing.measurement.uncertainty import budget, reading_contribution, setting_contributions, tape_contribution
from pricing.values import Text

DRAWS = 40_000


def test_the_combined_uncertainty_is_the_scatter_of_a_thousand_shrouds_measured_so():
    """A reading that scatters by 1 mm, a class II tape over 9 m, two threads read with a caliper, two test-swaged growths: rectangles and normals drawn apart."""
    length = Decimal(9000)
    contributions = [
        reading_contribution(1, Decimal(1), Decimal(1)),
        tape_contribution("II", length),
        *setting_contributions(Setting(Decimal(20), Decimal(20), "caliper"), Decimal("1.5")),
        Contribution(Text("growth"), 0.4, None, Text("")),
        Contribution(Text("growth"), 0.4, None, Text("")),
    ]
    made = budget(contributions)
    rng = random.Random(20261125)
    tape = 0.3 + 0.2 * 9  # OIML R 35-1, class II
    errors = []
    for _ in range(DRAWS):
        rectangles = rng.uniform(-tape, tape) + rng.uniform(-0.2, 0.2) + rng.uniform(-0.2, 0.2)
        errors.append(rectangles + rng.gauss(0, 1) + rng.gauss(0, 0.4) + rng.gauss(0, 0.4))
    mean = sum(errors) / DRAWS
    scatter = math.sqrt(sum((each - mean) ** 2 for each in errors) / (DRAWS - 1))
    assert made.combined == pytest.approx(scatter, rel=0.02)
    inside = sum(abs(each) <= made.expanded for each in errors) / DRAWS
    assert inside >= 0.95  # a rectangle that dominates has shorter tails than a normal: U covers at least what it says


def test_two_readings_cover_the_true_length_as_often_as_they_say():
    """Two readings of a hand that scatters by 1 mm, thousands of times over: U from the pooled 1 mm covers 95.45 % of them, and is never ± 40 mm."""
    rng = random.Random(7)
    made = budget([reading_contribution(2, Decimal("0.01"), Decimal(1))])
    assert made.expanded == pytest.approx(2 / math.sqrt(2))
    errors = [(rng.gauss(0, 1) + rng.gauss(0, 1)) / 2 for _ in range(20_000)]
    assert sum(abs(each) <= made.expanded for each in errors) / len(errors) == pytest.approx(0.9545, abs=0.005)


@pytest.mark.parametrize("count", [2, 3, 4])
def test_readings_without_a_blunder_are_asked_about_one_time_in_twenty(count: int):
    """ISO 5725-6's critical ranges (from memory) are those of 95 %: drawn, a range beyond 2.8, 3.3 or 3.6 s comes up 5 % of the time."""
    rng = random.Random(count)
    rounds, beyond = 20_000, 0
    for _ in range(rounds):
        readings = [Decimal(f"{5000 + rng.gauss(0, 1):.6f}") for _ in range(count)]
        beyond += bool(blunders(readings, Decimal(1)))
    assert beyond / rounds == pytest.approx(0.05, abs=0.006)

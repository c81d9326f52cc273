"""The uncertainty budget against JCGM 100:2008 (the GUM): its worked example H.1, its table G.2, and a propagation library.

The engine's budget is linear with coefficients of one, so H.1's input quantities enter multiplied by their sensitivity coefficients.
"""

from __future__ import annotations

import math
from decimal import Decimal

import pytest
from uncertainties import ufloat

from pricing.fittings.base import Contribution
from pricing.measurement.assembly import Setting, TapeComparison
from pricing.measurement.uncertainty import (
    budget,
    comparison_contribution,
    effective_degrees,
    reading_contribution,
    setting_contributions,
    student_t,
    tape_contribution,
)
from pricing.values import Text, phrase, texts

# JCGM 100 H.1, end gauge, nm: (name, standard uncertainty x sensitivity, degrees of freedom)
STANDARD = 50_000_623.0
H1 = [
    Contribution(Text("standard"), 25.0, 18, Text("")),
    Contribution(Text("difference"), 9.7, 25, Text("")),  # 25.6 in H.1
    Contribution(Text("difference of expansion"), STANDARD * 0.1 * 0.58e-6, 50, Text("")),
    Contribution(Text("difference of temperature"), STANDARD * 11.5e-6 * 0.029, 2, Text("")),
]


def test_h1_combines_to_32_nm_with_16_degrees_of_freedom():
    """H.1.6: uc = 32 nm, effective degrees of freedom 16 (16.7 cut)."""
    found = budget(H1)
    assert round(found.combined) == 32
    assert found.degrees == 16


def test_h1_at_95_45_per_cent_takes_table_g2s_factor():
    """Table G.2, 16 degrees of freedom: 2.17 for 95.45 % (H.1 itself prints U99 = 93 nm with 2.92)."""
    found = budget(H1)
    assert found.k == 2.17
    assert found.expanded == pytest.approx(2.17 * found.combined)
    assert round(2.92 * found.combined) == 93


def test_h1_agrees_with_a_propagation_library():
    """l = lS + d − lS·(δα·θ + αS·δθ), propagated from the input quantities themselves."""
    standard, difference = ufloat(STANDARD, 25), ufloat(215, 9.7)
    expansion, temperature = ufloat(11.5e-6, 1.2e-6), ufloat(-0.1, 0.41)
    d_expansion, d_temperature = ufloat(0, 0.58e-6), ufloat(0, 0.029)
    length = standard + difference - standard * (d_expansion * temperature + expansion * d_temperature)
    assert length.nominal_value == 50_000_838
    assert budget(H1).combined == pytest.approx(length.std_dev, rel=1e-6)


def density(x: float, degrees: int) -> float:
    """Student's density."""
    scale = math.lgamma((degrees + 1) / 2) - math.lgamma(degrees / 2) - math.log(degrees * math.pi) / 2
    return math.exp(scale - (degrees + 1) / 2 * math.log1p(x * x / degrees))


def within(limit: float, degrees: int) -> float:
    """Share of Student's distribution within ± limit, by Simpson's rule on x = tan(v)."""
    top, steps = math.atan(limit), 400
    values = [density(math.tan(top * i / steps), degrees) / math.cos(top * i / steps) ** 2 for i in range(steps + 1)]
    return 2 * top / steps / 3 * (values[0] + values[-1] + 4 * sum(values[1:-1:2]) + 2 * sum(values[2:-1:2]))


def exact_t(degrees: int) -> float:
    """t with 95.45 % within, by bisection."""
    low, high = 1.0, 20.0
    while high - low > 1e-6:
        middle = (low + high) / 2
        low, high = (middle, high) if within(middle, degrees) < 0.9545 else (low, middle)
    return low


@pytest.mark.parametrize(
    ("degrees", "printed"),
    [(1, 13.97), (2, 4.53), (3, 3.31), (4, 2.87), (5, 2.65), (10, 2.28), (16, 2.17), (20, 2.13), (30, 2.09), (50, 2.05), (100, 2.025)],
)
def test_the_own_integral_prints_table_g2(degrees: int, printed: float):
    """Of the yardstick used below: it reproduces the table's column for 95.45 % to its digits."""
    assert exact_t(degrees) == pytest.approx(printed, abs=0.0051)


@pytest.mark.parametrize("degrees", [*range(1, 31), 34, 35, 39, 44, 49, 50, 75, 99, 100, 150, 1000])
def test_the_factor_is_students_t_and_never_less_than_it_says(degrees: int):
    """Between the table's lines the next lower one counts (G.4.1 note 1), so that U is never too small; two printed digits allow 0.005."""
    exact = exact_t(degrees)
    lower = max(each for each in (*range(1, 21), 25, 30, 35, 40, 45, 50, 100) if each <= degrees)
    assert exact - 0.005 <= student_t(degrees) <= exact_t(lower) + 0.005


def test_very_many_degrees_of_freedom_take_two():
    """The normal distribution has 95.45 % within ± 2.000."""
    assert math.erf(2.0 / math.sqrt(2)) == pytest.approx(0.9545, abs=5e-5)
    assert student_t(None) == 2.0
    assert effective_degrees([Contribution(Text("a"), 1.0, None, Text(""))]) is None


def test_welch_and_satterthwaite_cut_down_and_not_up():
    """G.2b by hand: u 3 (4 degrees) and 4 (None): 5⁴/(3⁴/4) = 625/20.25 = 30.86 → 30."""
    assert effective_degrees([Contribution(Text("a"), 3.0, 4, Text("")), Contribution(Text("b"), 4.0, None, Text(""))]) == 30


def test_readings_count_by_the_shops_repeatability_or_by_the_tapes_division_whichever_is_more():
    """s of one reading 1 mm, pooled: one 1, four 1/2; four on a tape divided in 1/8 in: 3.175/√12 = 0.9165; nothing by Student, so no degrees."""
    assert reading_contribution(1, Decimal(1), Decimal(1)).u == 1
    four = reading_contribution(4, Decimal(1), Decimal(1))
    assert (four.u, four.dof) == (0.5, None)
    assert reading_contribution(4, Decimal("3.175"), Decimal(1)).u == pytest.approx(0.9165, abs=1e-4)
    assert reading_contribution(4, Decimal("3.175"), Decimal(1)).remedy == phrase("improve.division")
    assert four.remedy == phrase("improve.readings")


def test_a_class_ii_tape_and_each_tool_count_as_rectangles():
    """OIML R 35-1, class II: ±(0.3 + 0.2·L) mm, L in whole metres rounded up: at 10 m 2.3/√3 = 1.3279, at 9.2 m the same; + 0.2 mm from its hook.

    Caliper 0.2/√3; pen mark half a pitch, tape mark a pitch, over √3.
    """
    assert tape_contribution("II", Decimal(10_000)).u == pytest.approx(1.32791, abs=1e-5)
    assert tape_contribution("II", Decimal(9_200)).u == pytest.approx(1.32791, abs=1e-5)
    assert tape_contribution("II", Decimal(10_000), hook=True).u == pytest.approx(2.5 / math.sqrt(3))
    pitch = Decimal("1.0583333")
    for tool, half in (("caliper", 0.2), ("pen_mark", 0.52916667), ("tape_mark", 1.0583333), (None, 1.0583333)):
        contributions = setting_contributions(Setting(Decimal(10), Decimal(10), tool), pitch)
        assert [each.u for each in contributions] == pytest.approx([half / math.sqrt(3)] * 2)


def test_a_compared_tape_has_the_comparisons_doubt_instead_of_its_class():
    """Within 0.5 mm on 5 m: 1 mm on 10 m, over √3. Unsaid: a class I tape's ±(0.1 + 0.1·5) = 0.6 on 5 m, 1.2 on 10 m."""
    said = TapeComparison(Decimal(5000), Decimal("5000.4"), Decimal("0.5"))
    assert comparison_contribution(said, Decimal(10_000)).u == pytest.approx(1 / math.sqrt(3))
    assert comparison_contribution(TapeComparison(Decimal(5000), Decimal(5001)), Decimal(10_000)).u == pytest.approx(1.2 / math.sqrt(3))


def test_one_input_used_twice_is_one_contributor_with_its_sensitivities_summed():
    """JCGM 100, 5.1.3 and 5.2.2 (fully correlated inputs add linearly): y = 3a − 2a + b has u² = (3 − 2)²·u(a)² + u(b)²."""
    twice = budget(
        [
            Contribution(Text("tape"), 3.0, None, Text(""), "a"),
            Contribution(Text("b"), 2.0, None, Text("")),
            Contribution(Text("wire"), -2.0, None, Text(""), "a"),
        ]
    )
    a, b = ufloat(0, 1), ufloat(0, 2)
    assert twice.combined == pytest.approx((3 * a - 2 * a + b).std_dev)
    assert [(each.name, each.u) for each in twice.contributions] == [(texts(["tape", "wire"]), 1.0), (Text("b"), 2.0)]
    assert twice.largest().name == Text("b")


def test_inputs_without_a_key_are_apart_even_with_one_name():
    """Two growths measured apart: √(0.4² + 0.4²); one growth used twice: 0.8."""
    apart = [Contribution(Text("growth"), 0.4, None, Text("")), Contribution(Text("growth"), 0.4, None, Text(""))]
    assert budget(apart).combined == pytest.approx(0.4 * math.sqrt(2))
    assert budget([each._replace(key="growth of FORK-5") for each in apart]).combined == pytest.approx(0.8)

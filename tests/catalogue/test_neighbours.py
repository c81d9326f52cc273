"""A row beside its neighbours, in tables of thousands of rows: not every pair of sizes is compared, and an outlier still stands out."""

from __future__ import annotations

import math

import numpy

from pricing.catalogue.plausibility.neighbours import apart
from tests.yardstick import at_most

MANY = 5000


def test_thousands_of_sizes_are_compared_in_little_time_and_an_odd_one_stands_out() -> None:
    """Takes about three times the reference time; the slopes between all pairs would take fifteen times or more."""
    size = numpy.linspace(2, 12, MANY)
    value = size**2.5  # whereas 2 is expected
    value[2345] *= 10
    ratio, asked = at_most(8, lambda: apart(size, value, 2.0))
    assert numpy.flatnonzero(numpy.abs(ratio) > math.log(1.05)).tolist() == [2345]
    assert abs(ratio[2345] - math.log(10)) < 0.01
    assert asked.min() >= 4


def test_each_row_is_left_out_of_its_own_comparison_with_others_of_its_size() -> None:
    """By hand: beside 2, 3 and 5 stand the two others' logarithms alone; of the two in the middle the nearer counts."""
    ratio, asked = apart(numpy.full(3, 4.0), numpy.array([2.0, 3.0, 5.0]), 2.0)
    assert asked.tolist() == [2, 2, 2]
    assert numpy.allclose(ratio, numpy.log([2 / 3, 3 / 2, 5 / 3]))

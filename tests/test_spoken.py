"""Lengths in sentences for the shop are given in both units. 1 in = 25.4 mm (NIST SP 811)."""

from decimal import Decimal

import pytest

from pricing.units import nominal
from pricing.wording import Voice


@pytest.mark.parametrize(
    ("mm", "text"),
    [
        ("28.575", "28.6 mm (1 1/8 in)"),  # 28.575 / 25.4 = 1.125
        ("9558.338", "9558.3 mm (31 ft 4 5/16 in)"),  # 9558.3 / 25.4 = 376.311 in = 31 ft 4.311 in, nearest 1/32: 4 10/32
        ("0.3", "0.3 mm"),  # less than half of 1/32 in: 0.397 mm
        ("0.4", "0.4 mm (1/32 in)"),
        ("0", "0.0 mm (0 in)"),
    ],
)
def test_a_length_in_a_sentence_for_the_shop_is_given_in_both_units(mm, text):
    assert Voice("en", "metric", "shop").length(Decimal(mm)) == text


@pytest.mark.parametrize(
    ("mm", "named"), [("9.525", "3/8 in"), ("7.9375", "5/16 in"), ("8", "8 mm"), ("10.4", "10.4 mm"), ("12.7", "1/2 in")]
)
def test_a_nominal_size_is_named_as_the_trade_names_it(mm, named):
    assert nominal(Decimal(mm)) == named

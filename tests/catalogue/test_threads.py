"""One designation for every spelling of a thread."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pricing.catalogue import normal_thread
from pricing.errors import QuantityError


@pytest.mark.parametrize(
    "text",
    ["3/8-24 UNF", "3/8-24UNF", "3/8-24 unf", "3/8 - 24 UNF", '3/8"-24 UNF', "3/8 in-24 unf", "3/8-24", "3/8\u201124 UNF", " 3/8-24  UNF "],
)
def test_an_inch_thread_has_one_designation(text: str) -> None:
    assert normal_thread(text) == "3/8-24 UNF"


@pytest.mark.parametrize("text", ["M8", "m8", "M 8", "M8x1.25", "M8X1,25", "M8 \u00d7 1.25", "M8*1.25", "M08"])
def test_a_metric_thread_has_one_designation_and_a_bare_size_is_the_coarse_pitch(text: str) -> None:
    assert normal_thread(text) == "M8 x 1.25"


def test_other_pitches_and_series_are_different_threads() -> None:
    assert normal_thread("M10x1.0") == "M10 x 1"
    assert normal_thread("M10") == "M10 x 1.5"
    assert normal_thread("3/8-16 UNC") == "3/8-16 UNC"


@pytest.mark.parametrize(
    "text", ["", "3/8", "3/8-23", "8", "M", "M0", "M7", "M8x", "UNF", "3/8-24 UNF LH", "9" * 40, "M8x1.25.5", "M\u0668"]
)
def test_text_that_is_not_a_thread_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(QuantityError, match="3/8-24 UNF") as caught:
        normal_thread(text)
    assert caught.value.code == "not_a_thread"


@given(st.text(max_size=40))
def test_normalising_twice_changes_nothing_more(text: str) -> None:
    try:
        once = normal_thread(text)
    except QuantityError:
        return
    assert normal_thread(once) == once

"""Boats that differ from their sisters: by hand, and for any fleet with one wrong boat. A wrong one is named, tape and set-up are not."""

from __future__ import annotations

from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from pricing.records.sisters import Measured, median, odd_ones

NOISE = st.integers(-8, 8)  # mm: readings, and turnbuckles that are not set alike


def wire(boat: int, mm: float | Decimal, tag: str = "BACKSTAY", role: str = "backstay", kind: object = 1) -> Measured:
    return Measured(boat, kind, role, tag, "W-4", Decimal(str(mm)))  # type: ignore[arg-type]


def test_a_backstay_of_104_m_among_39_of_10_4_m_is_named() -> None:
    fleet = [wire(boat, 10400 + boat % 5) for boat in range(39)] + [wire(39, 104000)]
    (odd,) = odd_ones(fleet)
    assert (odd.measured.boat, odd.measured.mm, odd.median, odd.sisters) == (39, 104000, 10402, 39)
    assert odd.difference == 93598


def test_the_spread_of_a_fleet_decides_and_a_hundredth_at_least() -> None:
    """Of 9920, 9960, 10000, 10040, 10080 and a sixth far above, the median is 10020; the distances are 20, 20, 60, 60, 100 and the sixth's,
    their median 60: six spreads are 6 * 1.4826 * 60 = 533.7 mm.
    """
    fleet = [wire(boat, mm) for boat, mm in enumerate((9920, 9960, 10000, 10040, 10080))]
    assert odd_ones([*fleet, wire(5, 10553)]) == []
    far = wire(5, 10554)
    (odd,) = odd_ones([*fleet, far])
    assert (odd.measured, odd.median, odd.sisters) == (far, 10000, 5)
    alike = [wire(boat, 10000) for boat in range(9)]
    assert odd_ones([*alike, wire(9, 10100)]) == []  # a hundredth, not more
    assert len(odd_ones([*alike, wire(9, "10100.5")])) == 1


def test_with_fewer_than_four_boats_no_wire_is_odd() -> None:
    assert odd_ones([wire(0, 10400), wire(1, 10400), wire(2, 104000)]) == []
    assert len(odd_ones([*(wire(boat, 10400) for boat in range(3)), wire(3, 104000)])) == 1


def test_wires_of_one_boat_are_not_each_others_sisters() -> None:
    assert odd_ones([wire(0, mm, tag=f"LIFELINE-{mm}", role="lifeline") for mm in (900, 1800, 2700, 9000, 20000)]) == []


def test_boats_of_another_size_are_compared_among_themselves() -> None:
    small, large = [wire(boat, 8000, kind=8) for boat in range(9)], [wire(boat + 9, 12000, kind=12) for boat in range(4)]
    assert odd_ones([*small, *large]) == []


def test_wires_with_tags_of_one_boat_alone_are_compared_by_role_and_wire() -> None:
    fleet = [wire(boat, 10400, tag=f"HULL-{boat}-BS") for boat in range(9)] + [wire(9, 1040, tag="HULL-9-BS")]
    assert [each.measured.tag for each in odd_ones(fleet)] == ["HULL-9-BS"]


@given(st.lists(NOISE, min_size=4, max_size=40), st.integers(2500, 30000))
def test_the_tapes_scatter_reports_no_wire(noise: list[int], length: int) -> None:
    assert odd_ones(wire(boat, length + each) for boat, each in enumerate(noise)) == []


@given(st.lists(NOISE, min_size=4, max_size=40), st.integers(2500, 30000), st.sampled_from(("0.1", "0.5", "0.9", "1.1", "2", "10")))
def test_one_slipped_digit_is_named_alone(noise: list[int], length: int, factor: str) -> None:
    wrong = wire(len(noise), length * Decimal(factor))
    found = odd_ones([*(wire(boat, length + each) for boat, each in enumerate(noise)), wrong])
    assert [each.measured for each in found] == [wrong]
    assert abs(found[0].median - length) <= 8


@given(st.lists(st.integers(1, 10**6), min_size=1, max_size=30))
def test_the_median_has_as_many_below_as_above(values: list[int]) -> None:
    middle = median([Decimal(each) for each in values])
    assert sum(each < middle for each in values) <= len(values) // 2
    assert sum(each > middle for each in values) <= len(values) // 2

"""Growth from finished assemblies: by hand, against the statistics module, and against a textbook's normal equations."""

from __future__ import annotations

from decimal import Decimal
from statistics import mean, stdev

import pytest

from pricing.records.growth import Estimate, Grown, Swaged, estimates

D = Decimal


def on(terminal: str, construction: str = "1x19", size: str = "5 mm") -> Swaged:
    return Swaged(terminal, construction, size)


def grown(together: str, *terminals: str) -> Grown:
    return Grown(D(together), tuple(on(each) for each in terminals))


def test_one_terminal_an_assembly_is_the_mean_with_its_standard_uncertainty() -> None:
    readings = ["0.31", "0.18", "0.42", "0.25", "0.29"]
    numbers = [float(each) for each in readings]
    (found,) = estimates([grown(each, "FORK") for each in readings], 5)
    assert (found.records, found.degrees) == (5, 4)
    assert found.growth == D(str(round(mean(numbers), 3)))  # JCGM 100:2008, 4.2.1
    assert float(found.uncertainty or 0) == pytest.approx(stdev(numbers) / 5**0.5, abs=0.0005)  # 4.2.3


def test_two_of_a_kind_on_one_assembly_share_its_deviation() -> None:
    found = estimates([grown("0.60", "EYE", "EYE"), grown("0.40", "EYE", "EYE")], 2)
    # each eye 0.25; left over +-0.10 with 1 degree: s2 = 0.02, u2 = s2 / (4 + 4)
    assert found == [Estimate(on("EYE"), 2, D("0.250"), D("0.050"), 1)]


def test_two_terminals_are_told_apart_where_they_also_occur_apart() -> None:
    # normal equations by hand: A = (2 1; 1 2), right side (0.1 + 0.5; 0.3 + 0.5): a = (2 x 0.6 - 0.8) / 3, b = (2 x 0.8 - 0.6) / 3
    found = estimates([grown("0.1", "FORK"), grown("0.3", "STUD"), grown("0.5", "FORK", "STUD")], 1)
    assert [(each.swaged.terminal, each.growth) for each in found] == [("FORK", D("0.133")), ("STUD", D("0.333"))]
    # left over -0.0333, -0.0333, +0.0333: s2 = 0.00333 with 1 degree, diagonal of the inverse 2/3
    assert [each.uncertainty for each in found] == [D("0.047"), D("0.047")]


def test_terminals_that_always_stand_together_are_not_estimated_and_do_not_spoil_the_others() -> None:
    found = estimates([grown("0.5", "TEE", "STUD")] * 4 + [grown("0.2", "FORK"), grown("0.3", "FORK")], 2)
    assert [(each.swaged.terminal, each.growth) for each in found] == [("FORK", D("0.250")), ("STUD", None), ("TEE", None)]


@pytest.mark.parametrize("few", [[], [grown("0.2")], [grown("0.2", "FORK")]])
def test_too_few_readings_give_no_estimate(few: list[Grown]) -> None:
    assert all(each.growth is None for each in estimates(few, 1))


def test_one_terminal_on_two_constructions_is_two_growths() -> None:
    """9.1 and 9.3 on 1x19, 6.4 and 6.6 on 7x7: the means of each, never of all four."""
    fork = {"1x19": ("9.1", "9.3"), "7x7": ("6.4", "6.6")}
    found = estimates([Grown(D(mm), (on("FORK", kind),)) for kind, both in fork.items() for mm in both], 2)
    assert {each.swaged.construction: each.growth for each in found} == {"1x19": D("9.200"), "7x7": D("6.500")}

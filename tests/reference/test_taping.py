"""Corrections of taped lengths against printed ones: university slides "Taping Corrections", and second routes by statics.

Feet are 304.8 mm, pounds force 4.4482216152605 N, pounds a foot are lbf over 0.3048 m.
"""

from __future__ import annotations

import math
from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from pricing.catalogue import DEMO_FOLDER, load_catalogue
from pricing.costing.rates import price_table
from pricing.costing.terms import Terms
from pricing.measurement.assembly import Measurement
from pricing.measurement.corrections import sag as exact_sag
from pricing.measurement.old_wire import Wires
from pricing.measurement.reduction import Reduced, reduce_readings
from pricing.rows import Wire

FOOT = Decimal("304.8")
POUND = 4.4482216152605
D = Decimal
CATALOGUE = load_catalogue(DEMO_FOLDER)
TERMS: Terms = price_table(CATALOGUE).at(date(2026, 11, 25)).terms


@pytest.fixture(scope="module")
def wires() -> dict[str, Wire]:
    """The demo wires by article."""
    return {row.sku: row for row in CATALOGUE.tables.wires}


def sag(length: float, weight: float, pull: float) -> float:
    """mm, N/m and N as floats."""
    return float(exact_sag(D(str(length)), D(str(weight)), D(str(pull))))


def reduced(old: Wire, reading: Decimal, new: Wire | None = None, tension: Decimal | None = None, **said: Any) -> Reduced:
    """A wire without any fittings, so that all of the reading is wire."""
    measured = Measurement((reading,), **{"support": "flat", "tape_material": "steel", **said})
    return reduce_readings(measured, Wires(old, new or old), reading, tension, TERMS)


def corrections(old: Wire, reading: Decimal, new: Wire | None = None, tension: Decimal | None = None, **said: Any) -> dict[str, Decimal]:
    """Step → mm, without the reading's own."""
    return {" ".join(filter(None, (each.code, each.wording))): each.mm for each in reduced(old, reading, new, tension, **said).terms[1:]}


def test_a_steel_tape_at_22_degf_reads_368_50_ft_for_368_39(wires: dict[str, Wire]):
    """Slides: 6.5e-6/degF, standard 68 degF; printed to 0.01 ft. 22 degF is −5.5556 degC."""
    ((_, mm),) = corrections(wires["WIRE-1X19-316-3-16IN"], D("368.50") * FOOT, tape_temperature=D(22 - 32) * 5 / 9).items()
    assert float(D("368.50") + mm / FOOT) == pytest.approx(368.39, abs=0.005)


def test_the_sag_of_a_tape_in_four_spans_is_0_71_ft():
    """Slides: 2.8 lb/100 ft, pull 12 lb, three spans of 100 ft and one of 48.75 ft: −0.71 ft."""
    weight, pull = 0.028 * POUND / 0.3048, 12 * POUND
    total = sum(sag(float(D(str(span)) * FOOT), weight, pull) for span in (100, 100, 100, 48.75))
    assert total / 304.8 == pytest.approx(0.71, abs=0.005)


def test_a_tape_pulled_with_18_pounds_for_12_is_0_0014_ft_longer_in_100(wires: dict[str, Wire]):
    """Slides: section .015 in², 29e6 psi. What is measured with a longer tape is longer than it reads."""
    said = {"tape_pull": D(str(18 * POUND)), "tape_standard_pull": D(str(12 * POUND)), "tape_area": D(".015") * D("645.16")}
    found = corrections(wires["WIRE-1X19-316-3-16IN"], 100 * FOOT, temperature=D(20), **said)
    assert float(found["tape-pull"] / FOOT) == pytest.approx(0.0014, abs=5e-5)


@pytest.mark.parametrize(("length", "weight", "pull"), [(10_000, 1.1, 70), (14_000, 1.6, 150), (6_000, 0.9, 40), (30_000, 4.3, 1500)])
def test_the_sag_correction_is_the_catenarys_arc_less_its_chord(length: float, weight: float, pull: float):
    """A hung wire is a catenary: arc 2·(P/w)·sinh(w·L/(2P)) on a chord L. The parabola is within (wL/P)²/20 of it: 1 in 500 here at most."""
    a = pull / weight * 1000
    arc = 2 * a * math.sinh(length / (2 * a))
    assert sag(length, weight, pull) == pytest.approx(arc - length, rel=0.002)


def test_a_hand_pulling_a_hung_shroud_of_ten_metres_hides_about_ten_millimetres(wires: dict[str, Wire]):
    """The trade's warning. 3/16 in 1x19, 7.55 lb/100 ft = 0.11236 kg/m = 1.1019 N/m; 70 N (7 kg by hand): 1.1019²·10³/(24·70²) = 10.32 mm."""
    wire = wires["WIRE-1X19-316-3-16IN"]
    weight = float(wire.kg_per_100m) / 100 * 9.80665
    assert weight == pytest.approx(1.1019, abs=1e-4)
    assert sag(10_000, weight, 70) == pytest.approx(10.32, abs=0.01)


def test_the_sag_of_a_hung_wire_makes_it_longer_than_its_chord(wires: dict[str, Wire]):
    """The same under 300 N: 10.32 · (70/300)² = 0.562 mm, added."""
    found = corrections(wires["WIRE-1X19-316-3-16IN"], D(10_000), support="hung", pull=D(300), temperature=D(20))
    assert found["wire-sag"] == D("0.562")


def test_the_wires_own_stretch_under_the_pull_is_hookes(wires: dict[str, Wire]):
    """300 N on 13.54 mm² of 105 kN/mm²: 300 · 10 000 / 1 421 700 = 2.1102 mm, taken off."""
    found = corrections(wires["WIRE-1X19-316-3-16IN"], D(10_000), support="hung", pull=D(300), temperature=D(20))
    assert found["wire-stretch pull"] == D("-2.110")


def test_a_wire_measured_aboard_is_cut_shorter_by_its_stretch_under_the_rigs_tension(wires: dict[str, Wire]):
    """2500 N on 13.54 mm² of 105 kN/mm² stretch 10 m by 2500 · 10 000 / 1 421 700 = 17.5846 mm."""
    found = reduced(wires["WIRE-1X19-316-3-16IN"], D(10_000), tension=D(2500), support="aboard", rig_setting="everyday", temperature=D(20))
    assert sum(each.mm for each in found.terms) == D("9982.415")


def test_a_tape_hung_beside_the_wire_sags_too_and_one_lying_on_it_needs_no_sag(wires: dict[str, Wire]):
    """A tape of the wire's own weight under the same pull takes the wire's sag off again."""
    wire = wires["WIRE-1X19-316-3-16IN"]
    weight = wire.kg_per_100m / 100 * D("9.80665")
    beside = corrections(wire, D(10_000), support="hung", pull=D(300), temperature=D(20), tape_weight=weight)
    assert abs(beside["wire-sag"] + beside["tape-sag"]) <= D("0.001")
    on_it = corrections(wire, D(10_000), support="hung", pull=D(300), temperature=D(20), tape_on_wire=True)
    assert not [step for step in on_it if "sag" in step]


@pytest.mark.parametrize(("celsius", "added"), [(18, "0.084"), (20, "0.000"), (35, "-0.631")])
def test_a_warm_wire_on_a_warm_steel_tape_is_cut_shorter_by_their_difference(wires: dict[str, Wire], celsius: int, added: str):
    """L·ΔT·(11.6 − 16.0)e-6 on 9558.3375 mm: at 18 degC +0.0841, at 35 degC −0.6309 (datasheets citing ASTM A240; the slides)."""
    found = corrections(wires["WIRE-1X19-316-3-16IN"], D("9558.3375"), temperature=D(celsius))
    assert abs(sum(found.values()) - D(added)) <= D("0.001")


def test_another_wire_is_cut_so_that_both_are_as_long_under_the_everyday_tension(wires: dict[str, Wire]):
    """Second route: the loaded lengths are set equal, L0·(1 + F/AE)old = L0·(1 + F/AE)new, and solved for the new unloaded length."""
    old, new, tension, length = wires["WIRE-1X19-316-3-16IN"], wires["WIRE-7X19-316-1-4IN"], 2500.0, 9000.0
    stretch = [tension / float(row.metallic_mm2 * row.modulus_gpa * 1000) for row in (old, new)]
    expected = length * (1 + stretch[0]) / (1 + stretch[1]) - length
    found = corrections(old, D(9000), new, D(2500), temperature=D(20))["other-wire-stretch"]
    assert float(found) == pytest.approx(expected, rel=0.003)
    assert (found < 0) == (stretch[1] > stretch[0])  # a softer wire is cut shorter

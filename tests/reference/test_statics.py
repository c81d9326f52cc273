"""Wires that hung, or stood under tension, while they were measured: a second route by numeric statics, apart from the engine's formulas.

An elastic catenary is integrated in small steps of unstressed wire (equilibrium of a piece and Hooke's law for it, nothing else) with the old wire's
weight and A·E; then the new wire is laid into the same rig and its unstressed length found from the loaded length that both must have.
Sizes of the demo wires are read from the CSV by this test.
"""

from __future__ import annotations

import csv
import math
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any, NamedTuple

import pytest

import pricing.data
from pricing.catalogue import DEMO_FOLDER, load_catalogue
from pricing.checks.assessment import assess
from pricing.costing.rates import price_table
from pricing.geometry.chain import build
from pricing.measurement.assembly import Assembly, End, Measurement, WireSpec

CATALOGUE = load_catalogue(DEMO_FOLDER)
TERMS = price_table(CATALOGUE).at(date(2026, 11, 25)).terms
D = Decimal
STEPS = 4000


class Cable(NamedTuple):
    """N/m, N."""

    weight: float
    stiffness: float


def cable(sku: str) -> Cable:
    """From the row's own text: kg/100m, mm2, GPa."""
    with (Path(pricing.data.__file__).parent / "wires.csv").open(encoding="utf-8") as file:
        (row,) = [each for each in csv.DictReader(file) if each["sku"] == sku]
    mass, area, modulus = (next(cell for cell in row.values() if cell.endswith(unit)).split()[0] for unit in ("kg/100m", "mm2", "GPa"))
    return Cable(float(mass) / 100 * 9.80665, float(area) * float(modulus) * 1000)


def span_of(unstressed: float, pull: float, of: Cable) -> float:
    """Chord (m) of a level wire of that unstressed length (m) under a horizontal pull (N): half of it, integrated from the middle upward."""
    step, chord = unstressed / 2 / STEPS, 0.0
    for place in range(STEPS):
        vertical = of.weight * (place + 0.5) * step
        tension = math.hypot(pull, vertical)
        chord += step * (1 + tension / of.stiffness) * pull / tension
    return 2 * chord


def hanging(unstressed: float, pull: float, of: Cable) -> float:
    """Length (m) of a wire that hangs plumb with a pull at its foot."""
    step = unstressed / STEPS
    return sum(step * (1 + (pull + of.weight * (place + 0.5) * step) / of.stiffness) for place in range(STEPS))


def solved(loaded: Any, wanted: float, of: float) -> float:
    """The unstressed length that comes to `wanted`, by bisection between nine tenths of it and a tenth more."""
    low, high = 0.9 * of, 1.1 * of
    while high - low > 1e-9:
        middle = (low + high) / 2
        low, high = (middle, high) if loaded(middle) < wanted else (low, middle)
    return (low + high) / 2


def fitted(unstressed: float, old: Cable, new: Cable, tension: float) -> float:
    """Unstressed length of the new wire which is as long as the old one at the everyday tension."""
    return unstressed * (1 + tension / old.stiffness) / (1 + tension / new.stiffness)


OLD = {
    "7x19 5 mm": ("WIRE-7X19-316-5MM", "7x19", "5"),
    "1x19 6 mm": ("WIRE-1X19-316-6MM", "1x19", "6"),
    "1x19 5 mm": ("WIRE-1X19-316-5MM", "1x19", "5"),
}
NEW = OLD["1x19 5 mm"]


def target(old: str, reading: int, everyday: float | None = None, **said: Any) -> tuple[float, float]:
    """The engine's target and the free wire in it, mm: two bare ends, so that all of the reading is wire."""
    _, construction, size = OLD[old]
    bare = End("none", leave=D(100))
    measured = Measurement((D(reading),), temperature=D(20), tape_material="steel", **said)
    assembly = Assembly(
        "A", "pennant", WireSpec("1x19", D(5), "5 mm", "316"), bare, bare, measured,
        old_wire=WireSpec(construction, D(size), f"{size} mm", "316"), everyday_tension=None if everyday is None else D(str(everyday)),
    )  # fmt: skip
    built = build(assembly, CATALOGUE, TERMS)
    assert built.free_wire is not None
    return float(sum(each.mm for each in built.target_terms)), float(built.free_wire)


def test_a_wire_measured_aboard_of_softer_old_wire_is_cut_by_the_new_ones_stretch_alone():
    """8 m of loaded old 7x19 at 2 kN; the domain prints 7989.787. The formula takes the loaded length for the unloaded one: some 0.03 mm here."""
    old, new = cable(OLD["7x19 5 mm"][0]), cable(NEW[0])
    unstressed = 8.0 / (1 + 2000 / old.stiffness)
    wanted = 1000 * fitted(unstressed, old, new, 2000)
    got, _ = target("7x19 5 mm", 8000, 2000, support="aboard", rig_setting="everyday")
    assert got == pytest.approx(7989.787, abs=0.0006)
    assert got == pytest.approx(wanted, abs=0.02)


def test_a_wire_measured_in_a_slack_rig_loses_the_stretch_that_it_had_there():
    """Measured at 600 N, sailed at 2 kN: the old wire's unstressed length first, then the new one as long under 2 kN."""
    old, new = cable(OLD["7x19 5 mm"][0]), cable(NEW[0])
    wanted = 1000 * fitted(8.0 / (1 + 600 / old.stiffness), old, new, 2000)
    got, _ = target("7x19 5 mm", 8000, 2000, support="aboard", rig_setting="slack", tension=D(600))
    assert got == pytest.approx(wanted, abs=0.15)  # second order: the stretch of the stretch, 17 mm · 17 mm / 8 m = 0.04, thrice


def test_nothing_is_taken_off_for_the_everyday_tension_where_the_rig_was_slack():
    """How far it was stretched is not known then; like for like there is no other correction."""
    got, _ = target("1x19 5 mm", 8000, 2000, support="aboard", rig_setting="slack")
    assert got == 8000


@pytest.mark.parametrize(("old", "printed"), [("1x19 6 mm", 10025.659), ("1x19 5 mm", 10012.087)])
def test_a_wire_hung_by_hand_sags_with_its_own_weight_whatever_takes_its_place(old: str, printed: float):
    """10 m chord at 70 N, the tape straight: the domain's figures for old 6 mm and (taken wrongly) 5 mm. The catenary is within a 50th of a mm."""
    of = cable(OLD[old][0])
    wanted = 1000 * solved(lambda length: span_of(length, 70, of), 10.0, 10.0)
    got, _ = target(old, 10_000, support="hung", hung_as="level", pull=D(70), tape_on_wire=False)
    assert got == pytest.approx(printed, abs=0.0006)
    assert got == pytest.approx(wanted, abs=0.02)


def test_another_wire_in_place_of_one_that_hung_is_as_long_under_the_everyday_tension():
    """The same old 6 mm at 70 N, then the new 5 mm at 2 kN in its place."""
    old, new = cable(OLD["1x19 6 mm"][0]), cable(NEW[0])
    unstressed = solved(lambda length: span_of(length, 70, old), 10.0, 10.0)
    wanted = 1000 * fitted(unstressed, old, new, 2000)
    got, _ = target("1x19 6 mm", 10_000, 2000, support="hung", hung_as="level", pull=D(70), tape_on_wire=False)
    assert got == pytest.approx(wanted, abs=0.05)


@pytest.mark.parametrize("pull", [None, 196])
def test_a_wire_that_hung_plumb_loses_its_stretch_and_no_sag(pull: int | None):
    """14 m of old 6 mm, by its own weight alone or with 20 kg at its foot: integrated piece by piece."""
    old = cable(OLD["1x19 6 mm"][0])
    wanted = 1000 * solved(lambda length: hanging(length, pull or 0, old), 14.0, 14.0)
    got, _ = target("1x19 6 mm", 14_000, support="hung", hung_as="plumb", pull=None if pull is None else D(pull))
    assert got == pytest.approx(wanted, abs=0.002)


def test_fittings_do_not_stretch_nor_grow_warm_as_wire_does():
    """Between two 5 mm forks 172 mm are no wire: at 2 kN and 30 degC they leave 172.4/1566600 · 2000 = 0.22 mm and 16e-6 · 172.4 · 10 = 0.03 mm."""
    fork = End("fork", "swage")
    measured = Measurement((D(12_000),), support="aboard", rig_setting="everyday", temperature=D(30), tape_material="steel")
    wire = WireSpec("1x19", D(5), "5 mm", "316")
    built = build(Assembly("A", "pennant", wire, fork, fork, measured, old_wire=wire, everyday_tension=D(4000)), CATALOGUE, TERMS)
    lines = {each.code: float(each.mm) for each in built.target_terms}
    free = 12_000 + sum(float(each.mm) for each in built.cut_terms if each.mm < 0)
    assert 11_800 < free < 11_850
    assert lines["wire-stretch"] == pytest.approx(-4000 * free / 1566600, abs=0.0006)
    assert lines["wire-temperature"] == pytest.approx(-16e-6 * free * 10, abs=0.0006)


def moved_by(pull: float) -> float:
    """How far the target of the hung wire moves where its pull was another, by the catenary, mm."""
    new = cable(NEW[0])
    one, other = (1000 * solved(lambda length, force=force: span_of(length, force, new), 10.0, 10.0) for force in (70.0, pull))
    return other - one


def test_the_doubt_in_a_hands_pull_shows_in_the_uncertainty():
    """60 N for 70 make the hung wire 4.6 mm longer, 80 N 3.0 mm shorter: the larger side counts, as a rectangle, and U covers it."""
    assert (round(moved_by(60), 1), round(moved_by(80), 1)) == (4.6, -3.0)
    hung = Measurement(
        (D(10_000), D(10_000)),
        support="hung",
        hung_as="level",
        pull=D(70),
        pull_within=D(10),
        tape_on_wire=False,
        temperature=D(20),
        tape_class="I",
    )
    wire = WireSpec("1x19", D(5), "5 mm", "316")
    bare = End("none", leave=D(100))
    found = assess(build(Assembly("A", "pennant", wire, bare, bare, hung, old_wire=wire), CATALOGUE, TERMS), TERMS).budget
    assert found is not None
    (pull,) = [each for each in found.contributions if each.name.key == "contribution.wire_pull"]
    assert pull.u == pytest.approx(moved_by(60) / math.sqrt(3), rel=0.01)
    assert found.expanded > 4.6


def test_one_temperature_moves_tape_and_wire_together():
    """Within 5 K: (αt − αo)·L·5 = −4.4e-6 · 10 000 · 5 = −0.22 mm over √3; apart they would be 0.33 and 0.46."""
    one = {"temperature": D(25), "temperature_within": D(5)}
    apart = {"tape_temperature": D(25), "wire_temperature": D(25), "temperature_within": D(5)}
    assert thermal(one) == {"contribution.temperature": pytest.approx(0.127, abs=0.0005)}
    assert thermal(apart) == {
        "contribution.tape_temperature": pytest.approx(0.335, abs=0.0005),
        "contribution.wire_temperature": pytest.approx(0.462, abs=0.0005),
    }


def thermal(said: dict[str, Any]) -> dict[str, float]:
    bare, wire = End("none", leave=D(100)), WireSpec("1x19", D(5), "5 mm", "316")
    measured = Measurement((D(10_000), D(10_000)), support="flat", tape_material="steel", tape_class="I", **said)
    found = assess(build(Assembly("A", "pennant", wire, bare, bare, measured), CATALOGUE, TERMS), TERMS).budget
    assert found is not None
    return {each.name.key: each.u for each in found.contributions if "temperature" in each.name.key}

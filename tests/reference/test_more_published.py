"""More published values: threads beyond those of the demo catalogue, and the tape that is too long."""

from datetime import date
from decimal import Decimal

import pytest

from pricing.catalogue import DEMO_FOLDER, load_catalogue, tensile_stress_area
from pricing.costing.rates import price_table
from pricing.derivation import total
from pricing.measurement.assembly import Measurement, TapeComparison
from pricing.measurement.old_wire import Wires
from pricing.measurement.reduction import reduce_readings
from pricing.rows import Thread
from pricing.units import parse_length

DAY = date(2026, 11, 25)
IN2 = Decimal("645.16")


@pytest.mark.parametrize(
    ("diameter", "threads", "printed", "within"),
    [
        ("1/2 in", 20, "0.1599", "0.0001"), ("9/16 in", 18, "0.203", "0.0005"), ("5/8 in", 18, "0.256", "0.0005"),
        ("3/4 in", 16, "0.373", "0.0005"), ("7/8 in", 14, "0.509", "0.0006"), ("1 in", 12, "0.663", "0.0005"),
    ],
)  # fmt: skip
def test_thicker_unf_threads_have_the_published_tensile_stress_area(diameter, threads, printed, within):
    """Public table of UNF threads (boltport.com/threads/unf, read in a copy), square inches as printed."""
    thread = Thread(f"{diameter}-{threads}", parse_length(diameter), parse_length(f"1/{threads} in"), "table")
    assert abs(tensile_stress_area(thread) / IN2 - Decimal(printed)) <= Decimal(within)


@pytest.mark.parametrize(
    ("size", "pitch", "printed", "within"),
    [
        ("5", "0.8", "14.2", "0.05"),
        ("12", "1.75", "84.3", "0.05"),
        ("14", "2", "115", "0.5"),
        ("16", "2", "157", "0.5"),
        ("20", "2.5", "245", "0.5"),
    ],
)
def test_other_metric_threads_have_the_nominal_stress_area_of_iso_898_1(size, pitch, printed, within):
    """ISO 898-1, nominal stress areas of coarse threads, as quoted in a fastener handbook's table (read in a copy), mm²."""
    thread = Thread(f"M{size}", Decimal(size), Decimal(pitch), "table")
    assert abs(tensile_stress_area(thread) - Decimal(printed)) <= Decimal(within)


def test_a_hundred_foot_tape_that_is_100_02_reads_500_00_for_500_10():
    """University slides "Taping Corrections": a tape too long reads short."""
    wire = load_catalogue(DEMO_FOLDER).wire("1x19", "316", Decimal(5))
    assert wire is not None
    comparison = TapeComparison(parse_length("100 ft"), parse_length("100.02 ft"))
    measured = Measurement((parse_length("500.00 ft"),), support="flat", temperature=Decimal(20), tape_comparison=comparison)
    terms = price_table(load_catalogue(DEMO_FOLDER)).at(date(2026, 11, 25)).terms
    reduced = reduce_readings(measured, Wires(wire, wire), measured.readings[0], None, terms)
    assert total(reduced.terms) == parse_length("500.10 ft")

"""Three assemblies of the demo boat Wagtail worked out with a pencil, term by term, and one assembly's price.

Every number below was taken from the CSV rows named beside it (pricing/data) and worked with 1 in = 25.4 mm; each term is rounded once, half up,
to 0.001 mm. 64 degF is (64 − 32) · 5/9 = 17.7778 degC, 2.2222 K below 20. Steel tape 11.6e-6/K: "Taping Corrections" slides; wire 316 16.0e-6/K:
data sheets citing ASTM A240.
"""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from pricing.catalogue import DEMO_FOLDER, load_catalogue
from pricing.costing.rates import PriceTable, price_table
from pricing.document import rendered
from pricing.measurement.assembly import QuoteRequest
from pricing.quote import make_quote
from service.schemas import read_request

WAGTAIL = Path(__file__).resolve().parents[2] / "service" / "demo" / "fleet-sloop-wagtail.json"
DAY = date(2026, 11, 25)
D = Decimal


@cache
def shop() -> tuple[Any, PriceTable, QuoteRequest]:
    catalogue = load_catalogue(DEMO_FOLDER)
    prices = price_table(catalogue)
    return catalogue, prices, read_request(json.loads(WAGTAIL.read_bytes()), prices.at(DAY).price_lists())


@cache
def wagtail() -> dict[str, Any]:
    catalogue, prices, request = shop()
    return {each["tag"]: each for each in rendered(make_quote(request, catalogue, prices, DAY))["assemblies"]}


def terms(tag: str) -> list[Decimal]:
    return [D(each["mm"]) for each in wagtail()[tag]["derivation"]]


CAP_P = [
    "9098.756",  # readings 29 ft 10 3/16 in = 358.1875 in = 9097.9625 and 29 ft 10 1/4 in = 9099.55; mean 9098.75625
    "-0.235",  # steel tape: 11.6e-6 · 9098.75625 · (−2.2222) = −0.23455
    "0.312",  # wire between the fittings, 9098.756 − 314.747 below: −16.0e-6 · 8784.009 · (−2.2222) = +0.31232; the target is 9098.833
    "-57.944",  # TEE-SW-3-16IN reach 2 9/32 in = 57.94375
    "-7.950",  # its growth on 1x19, growths.csv: 0.313 in = 7.9502
    "-101.600",  # BODY-OPEN-3-8UNF 4 in
    "-30.559",  # SCREW-TOGGLE-3-8UNF-LH run-out to bearing 1 13/64 in = 30.559375
    "-28.575",  # upper screw exposed 1 1/8 in, built as recorded
    "-26.988",  # lower screw exposed 1 1/16 in = 26.9875
    "-53.181",  # STUD-SW-3-16IN-3-8UNF-RH: reach 4 19/32 − thread 2 1/2 = 2 3/32 in = 53.18125
    "-7.950",  # its growth 0.313 in
    "51.079",  # bore of the tee 2.011 in = 51.0794
    "51.079",  # bore of the stud
]  # sum: 9098.833 − 314.747 + 102.158 = 8886.244


PENNANT = [
    "977.900",  # 3 ft 2 1/2 in = 38.5 in
    "-0.025",  # 11.6e-6 · 977.9 · (−2.2222) = −0.02521
    "0.032",  # 16.0e-6 · (977.9 − 68) · 2.2222 = 0.03235; the target is 977.907
    "-34.000",  # THIMBLE-5-32IN-4MM: crown to sleeve 27 + crown radius 7
    "-34.000",
    "87.773",  # loop: R = 8 + 3.96875/2 = 9.984375; c² = 27² + 1.984375² = 732.93774; t = √(c² − R²) = √633.25 = 25.16446;
    # φ = 2π − 2·(acos(9.984375/27.07282) + atan(1.984375/27)) = 6.28319 − 2·(1.19310 + 0.07336) = 3.75026; 2t + Rφ = 50.32892 + 37.44402
    "18.000",  # SLEEVE-5-32IN-4MM, one pressed sleeve
    "3.000",  # its tail
    "87.773",
    "18.000",
    "3.000",
]  # sum: 977.907 − 68 + 217.546 = 1127.453


HALYARD = [
    "9353.550",  # 30 ft 8 1/4 in = 368.25 in
    "-0.241",  # 11.6e-6 · 9353.55 · (−2.2222) = −0.24111
    "0.328",  # 16.0e-6 · (9353.55 − 118.899) · 2.2222 = 0.32834; the target is 9353.637
    "-40.000",  # THIMBLE-3-16IN: 32 + 8
    "-73.819",  # FORK-SW-3-16IN reach 2 29/32 in = 73.81875
    "-5.080",  # its growth on 7x19, growths.csv: 0.200 in
    "104.190",  # loop for r 9.5, wire 4.7625, a 32: the published example prints 104.19
    "21.000",  # SLEEVE-3-16IN, one
    "3.500",  # its tail
    "51.079",  # bore of the fork 2.011 in
]  # sum: 9353.637 − 118.899 + 179.769 = 9414.507


@pytest.mark.parametrize(
    ("tag", "expected", "target", "cut", "text"),
    [
        ("CAP-P", CAP_P, "9098.833", "8886.2", "29 ft 1 27/32 in"),  # 8886.2/25.4 = 349.850 in = 29 ft 1.850 in; 27/32 = .844
        ("PENNANT", PENNANT, "977.907", "1127.5", "3 ft 8 3/8 in"),  # 1127.5/25.4 = 44.390 in; 3/8 = .375, 13/32 = .406
        ("HALYARD", HALYARD, "9353.637", "9414.5", "30 ft 10 21/32 in"),  # 9414.5/25.4 = 370.650 in; 21/32 = .656
    ],
)
def test_a_demo_assembly_comes_out_as_worked_by_hand(tag: str, expected: list[str], target: str, cut: str, text: str):
    assert terms(tag) == [D(each) for each in expected]
    assert wagtail()[tag]["target_length"]["mm"] == target
    assert wagtail()[tag]["cut_length"] == {"mm": cut, "text": text}


def test_the_cap_shrouds_travel_is_as_worked_by_hand():
    """T 2.5, body 4, no tips, E one diameter 0.375: engaged 1.375 and 1.4375, room 4 − 2.8125 = 1.1875; 2·min(1.0625, 0.59375) = 1.1875 in.

    Let-out 2·min(2.5 − .375 − 1.125, 2.5 − .375 − 1.0625) = 2 in.
    """
    turnbuckle = wagtail()["CAP-P"]["turnbuckle"]
    assert turnbuckle["take_up"]["mm"] == "30.163"  # 1.1875 in = 30.1625
    assert turnbuckle["let_out"]["mm"] == "50.800"
    assert D(turnbuckle["turns_from_recorded"]) == 0
    assert turnbuckle["travel_needed"]["mm"] == "6.896"  # bedding-in 0.04 % of 9098.833 = 3.640, and U 3.256


def test_the_cap_shrouds_uncertainty_is_as_worked_by_hand():
    """Two readings, the shop's 1 mm of one: 1/√2 = 0.70711 (more than 1.5875/√12 = 0.45827). Tape class II, 9.09876 m up to 10: 2.3/√3 = 1.32791.

    Temperature within 3 K, tape and wire together: (11.6e-6 · 9098.756 − 16.0e-6 · 8784.009) · 3/√3 = −0.06062. Caliper 0.2/√3 = 0.11547, twice.
    Growth 0.016 in = 0.4064, twice. The kept turnbuckle's body and screw, measured within 0.2 mm: 0.11547, twice. Σu² = 2.65068, u = 1.62809; no degrees
    of freedom are few, k = 2.00; U = 3.2562.
    """
    found = wagtail()["CAP-P"]["uncertainty"]
    assert (found["mm"], found["k"], found["degrees_of_freedom"]) == ("3.256", "2.00", None)
    assert [each["mm"] for each in found["budget"]] == ["0.707", "1.328", "0.061", "0.115", "0.115", "0.406", "0.406", "0.115", "0.115"]


def test_the_halyards_stops_stand_where_the_pencil_puts_them():
    """Ball 1/2 in on a 7/32 in slot: ring to centre √(6.35² − 2.778125²) = 5.71004.

    First: 6 3/8 in = 161.925 from the upper bearing, bearing upward: centre 167.635; less the member 40, plus the wire of the eye 128.690: 256.325.
    Second: 2 ft 4 1/2 in = 723.9 from the lower bearing, bearing downward: 729.610 from below, 9353.637 − 729.610 = 8624.027 from above.
    """
    first, second = wagtail()["HALYARD"]["stops"]
    assert (first["centre_from_upper_bearing"]["mm"], first["centre_from_upper_cut_end"]["mm"]) == ("167.635", "256.325")
    assert (second["centre_from_upper_bearing"]["mm"], second["centre_from_upper_cut_end"]["mm"]) == ("8624.027", "8712.717")


def test_fifty_pennants_cost_what_the_pencil_says():
    """Fleet list on 25 November 2026 (rows of prices.csv from 2026-07-01), collected; the quantity reaches the price break of 50 m.

    Wire 50 · 1.1275 m = 56.375 m at 3.04 = 171.38, less 22 % (37.70): 133.68. Thimbles 100 at 2.25 (from 10) = 225.00 less 28 %: 162.00. Sleeves
    100 at 1.38 = 138.00 less 38.64: 99.36. Presses 100 at 6.24 less 15 % = 530.40; assembly 50 at 8.32 less 62.40 = 353.60; tags 50 at 1.04 less
    7.80 = 44.20. Cuts 50 · 3 mm = 0.150 m at 3.04 = 0.46; scrap 3 % of 56.375 = 1.691 m at 3.04 = 5.14; no discount on waste.
    Taxed at 7 %: 133.68 + 162.00 + 99.36 + 0.46 + 5.14 = 400.64, tax 28.04; work 928.20 at 0 %. Together 1328.84, with tax 1356.88.
    """
    catalogue, prices, request = shop()
    (pennant,) = [each for each in request.assemblies if each.tag == "PENNANT"]
    quote = rendered(make_quote(replace(request, assemblies=(replace(pennant, quantity=50),)), catalogue, prices, DAY))
    assert quote["bill_of_materials"][0]["quantity"] == "56.375"
    assert [(line["quantity"], line["net"]) for line in quote["lines"]] == [
        ("56.375", "133.68"), ("100", "162.00"), ("100", "99.36"), ("100", "530.40"), ("50", "353.60"), ("50", "44.20"), ("0.150", "0.46"),
        ("1.691", "5.14"),
    ]  # fmt: skip
    totals = quote["totals"]
    assert [(share["taxable"], share["amount"]) for share in totals["tax"]] == [("400.64", "28.04"), ("928.20", "0.00")]
    assert (totals["tax_exclusive"], totals["tax_inclusive"], totals["payable"]) == ("1328.84", "1356.88", "1356.88")


def test_half_a_cent_of_discount_goes_up():
    """One pennant of 1321.454 mm at 20 degC: + 149.546 (as above) = 1471.000 mm; 1.471 m at 3.23 = 4.75133 = 4.75; 22 % of it is 1.045: 1.05."""
    catalogue, prices, request = shop()
    (pennant,) = [each for each in request.assemblies if each.tag == "PENNANT"]
    measured = replace(pennant.measurement, readings=(D("1321.454"),), temperature=D(20))
    quote = rendered(make_quote(replace(request, assemblies=(replace(pennant, quantity=1, measurement=measured),)), catalogue, prices, DAY))
    wire = quote["lines"][0]
    assert (wire["quantity"], wire["amount"], wire["allowances"][0]["amount"], wire["net"]) == ("1.471", "4.75", "1.05", "3.70")

"""The awkward boats of tests/cases, each file a case that a rigger can read."""

from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from pricing.catalogue import DEMO_FOLDER, load_catalogue
from pricing.costing.rates import price_table
from pricing.document import rendered
from pricing.quote import make_quote
from service.schemas import read_request
from tests.engine.shop import assumed
from tests.plain_yaml import read_yaml

CASES = sorted((Path(__file__).parent / "cases").glob("*.yaml"))
DAY = date(2026, 11, 25)


@pytest.fixture(scope="module")
def shop():
    catalogue = load_catalogue(DEMO_FOLDER)
    return catalogue, price_table(catalogue)


def found(assembly, *severities):
    return sorted({each["code"] for each in assembly["findings"] if each["severity"] in severities})


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_the_engine_says_of_each_boat_what_a_rigger_would(path, shop):
    catalogue, prices = shop
    case = read_yaml(path.read_text(encoding="utf-8"))
    quote = rendered(make_quote(read_request(case["request"], prices.at(DAY).price_lists()), catalogue, prices, DAY))
    got = {each["tag"]: {"readiness": each["readiness"], "findings": found(each, "stop", "ask")} for each in quote["assemblies"]}
    wanted = {tag: {"readiness": each["readiness"], "findings": sorted(each["findings"])} for tag, each in case["expect"].items()}
    assert got == wanted
    for assembly in quote["assemblies"]:
        expected = case["expect"][assembly["tag"]]
        assert set(expected.get("notes", [])) <= {*found(assembly, "note"), *assumed(quote)}
        low, high = map(Decimal, map(str, expected.get("target", (0, 10**9))))
        assert assembly["target_length"] is None or low <= Decimal(assembly["target_length"]["mm"]) <= high
        if "cut" in expected:
            assert (assembly["tag"], assembly["cut_length"]["mm"]) == (assembly["tag"], expected["cut"])
    counted = {each["sku"]: Decimal(each["quantity"]) for each in (*quote["bill_of_materials"], *quote["lines"])}
    wanted_articles = {sku: Decimal(many) for sku, many in case.get("bill", {}).items()}
    assert {sku: counted.get(sku, Decimal(0)) for sku in wanted_articles} == wanted_articles
    assert quote["left_out"] == [tag for tag, each in case["expect"].items() if each["readiness"] == "hold"]


def test_there_are_at_least_ten_awkward_boats():
    assert len(CASES) >= 10

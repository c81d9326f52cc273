"""Stored quotes of the demo shop, and of shops and boats that are harder to render."""

import copy
import gzip
import json
from contextlib import contextmanager
from datetime import date
from decimal import Decimal
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from pricing.catalogue import DEMO_FOLDER, load_catalogue
from pricing.costing.rates import price_table
from pricing.document import rendered
from pricing.quote import make_quote
from service.demo import demo_names, demo_request
from service.schemas import read_request
from tests.service.contract import judge_of
from tests.service.first_release import first_rows
from tests.service.shops import rewritten, shop

DAY = date(2026, 11, 25)
HEAD = {"id": "01a21202-0dfc-7812-9843-0e6a6544d0d4", "number": "Q-2026-000042", "revision": 1, "status": "issued"}
NASTY = (
    "=cmd|' /C calc'!A1", "+1", "@SUM(A1)", "\t=1", "＝1", " -2+3", "<b>&amp;</b> ]]> {{7*7}} ${x} <?php ?> <!--", "_x0041_", "طاقم الأشرعة", "צוות",
    "帆走学校", "⛵🧵👩‍🔧", "abc\u202ecba\u2066", "e" + "\u0301" * 40, "two\nlines\tand \"quotes\", 'too'", "a\x00b\x0bc\x1bd\x7fe\ufffef\uffffg", "half \ud800 pair",
)  # fmt: skip


@cache
def tables(folder=DEMO_FOLDER):
    catalogue = load_catalogue(folder)
    return catalogue, price_table(catalogue)


def requests():
    return [json.loads(demo_request(name)) for name in demo_names()]


@cache
def _document(request, folder):
    """What the engine makes of a request, both as JSON: the same for all tests of this process."""
    catalogue, prices = tables(folder)
    read = read_request(json.loads(request), prices.at(DAY).price_lists())
    return json.dumps(rendered(make_quote(read, catalogue, prices, DAY)))


def quote(request, folder=DEMO_FOLDER, **changes):
    """A quote as `GET /v1/quotes/{id}` answers, held to the contract."""
    return json.loads(_judged(json.dumps(request), folder, json.dumps(changes)))


@cache
def _judged(request, folder, changes):
    made = {**HEAD, "checksum": "sha256:" + "0" * 64, **json.loads(_document(request, folder)), **json.loads(changes)}
    complaints = judge_of("Quote").complaints(made)
    assert not complaints, complaints
    return json.dumps(made)


def demo(place=0, **changes):
    return quote({**requests()[place], **changes})


def fleet(count=120):
    """A boat with many assemblies of both demo boats, several of each, some of them in question or on hold."""
    every = [each for request in requests()[:2] for each in request["assemblies"]]
    assemblies = [copy.deepcopy(every[place % len(every)]) for place in range(count)]
    request = {**requests()[0], "assemblies": assemblies, "delivery": "ship"}
    for place, assembly in enumerate(request["assemblies"]):
        assembly |= {"tag": f"{assembly['tag']}-{place}", "quantity": 1 + place % 3}
        if place % 7 == 3:
            assembly["wire"] = {**assembly["wire"], "diameter": "77 mm"}  # no such wire
        if place % 5 == 1:
            assembly["measurement"] = {**assembly["measurement"], "readings": ["20 ft", "20 ft 1/2 in"]}
    return quote(request)


def by_hand():
    """A quote with further lines, taxed as the shop's wire, its work, and not at all, and a percentage off."""
    further = [
        {"text": "Mast", "quantity": "2.5", "unit": "hour", "unit_price": "78.00", "tax_category": "Z"},
        {"text": "Transport", "quantity": "1", "unit_price": "45.50", "tax_category": "S"},
        {"text": "Export", "quantity": "1", "unit_price": "12.345", "tax_category": "E"},
    ]
    return quote({**requests()[1], "delivery": "ship", "extra_lines": further, "discount": {"text": "Winter", "reduction": "7.5 %"}})


def own_work():
    """A quote with every kind of work of the shop's own: of the boat, of every assembly, and of one."""
    request = {
        **requests()[1],
        "work": [{"operation": "call_out"}, {"operation": "inspection", "quantity": "1.5"}, {"operation": "measure_old_wire"}],
    }
    request["assemblies"][0]["work"] = [{"operation": "tail_splice", "quantity": "2"}]
    return quote(request)


def of_no_assembly(line):
    """Whether a line is of the boat as a whole."""
    return line["group"] == "extra" or line["sku"] in ("WORK-CALL-OUT", "WORK-INSPECTION")


def none_ready():
    request = requests()[0]
    for assembly in request["assemblies"]:
        assembly["wire"]["diameter"] = "77 mm"
    return quote({**request, "delivery": "ship"})


def nameless():
    request = requests()[0]
    return quote({"assemblies": request["assemblies"][:1]}, erased_on="2027-01-01", status="withdrawn")


def revised():
    made = demo(1, price_list="trade")
    return {**made, "revision": 2, "supersedes": "01a21202-0dfc-7812-9843-000000000001"}


def nasty(text):
    """A quote in which every text that a person or a shop writes is `text`."""
    made = case("8 assemblies, one on hold")
    made |= {"note": text, "customer": dict.fromkeys(("name", "reference", "email"), text), "boat": {**made["boat"], "name": text}}
    made["customer"] |= dict.fromkeys(("telephone", "tax_number", "external_id"), text)
    made["boat"]["external_id"] = text
    address = {**dict.fromkeys(("street", "city", "region", "postal_code"), text), "country": "US"}
    made["customer"] |= {"address": address, "delivery_address": address}
    said = ("phone", "email", "tax_number", "legal", "payment_terms")
    made["seller"] = {"name": f"Loft {text}", "address": address, **dict.fromkeys(said, text)}
    made["left_out"] = [f"{text} {tag}" for tag in made["left_out"]]
    for assembly in made["assemblies"]:
        assembly["tag"] = f"{text} {assembly['tag']}"
        assembly["findings"] = [{**each, "message": text} for each in assembly["findings"]]
    for line in made["lines"]:
        line |= {"name": text, "note": text, "allowances": [{**each, "reason": text} for each in line["allowances"]]}
    for row in made["bill_of_materials"]:
        row["name"] = text
    made["charges"] = [{**each, "reason": text} for each in made["charges"]]
    made["allowances"] = [
        {"reason": text, "code": "95", "rule": "discount", "percent": None, "base": None, "amount": "0.00", "tax": made["lines"][0]["tax"]}
    ]
    return made


@contextmanager
def changed_shop(table, change):
    with TemporaryDirectory() as folder:
        changed = shop(Path(folder) / "tables")
        rewritten(changed / table, change)
        yield changed


def in_currency(code, tables=()):
    """The same boat at a shop that reckons in another currency. In `tables` amounts are a hundredfold and whole; unit prices may be finer."""
    with changed_shop("terms.csv", lambda row: {**row, "value": code} if row["key"] == "currency" else row) as folder:
        for table in tables:
            rewritten(folder / table, _whole)
        return quote({**requests()[1], "delivery": "ship"}, folder)


def _whole(row):
    return {name: value.replace(".", "") if name.startswith("price") else value for name, value in row.items()}


def untaxed():
    """The same boat at a shop that is not subject to tax, with a price finer than the money."""
    with changed_shop("tax.csv", lambda row: {**row, "category": "O", "rate": "0"}) as folder:
        rewritten(folder / "prices.csv", lambda row: {**row, "unit_price": row["unit_price"] + "25"})
        return quote(requests()[1], folder)


def charged_line():
    """A charge of 5.00 on a line that bears no tax, added up by hand to the total."""
    made = demo()
    line = next(each for each in made["lines"] if each["tax"]["category"] == "Z")
    line["charges"] = [{"reason": "Work outside hours", "code": "ADR", "percent": None, "amount": "5.00"}]
    totals = made["totals"]
    untaxed_share = next(each for each in totals["tax"] if each["category"] == "Z")
    changed = [
        (line, "net"),
        (untaxed_share, "taxable"),
        *((totals, name) for name in ("lines", "tax_exclusive", "tax_inclusive", "payable")),
    ]
    for holder, name in changed:
        holder[name] = str(Decimal(holder[name]) + 5)
    return made


def first_release():
    """A quote as the first release stored it, before there were cutting plans."""
    row = first_rows()[0]
    return {**json.loads(gzip.decompress(row["document"])), **{name: row[name] for name in (*HEAD, "checksum")}}


CASES = {
    "imperial": demo,
    "metric, sent": lambda: demo(1),
    "one small order": lambda: quote({"assemblies": requests()[1]["assemblies"][-1:], "delivery": "ship", "note": "x" * 2000}),
    "120 assemblies": fleet,
    "8 assemblies, one on hold": lambda: fleet(8),
    "none ready": none_ready,
    "nameless, erased, withdrawn": nameless,
    "revised": revised,
    "first release": first_release,
    "no decimals": lambda: in_currency("JPY", ("spools.csv", "stock.csv", "freight.csv")),
    "three decimals": lambda: in_currency("KWD"),
    "not subject to tax": untaxed,
    "a charge on a line": charged_line,
    "lines and a discount by hand": by_hand,
    "work of the shop's own": own_work,
    "note of 5000": lambda: {**demo(), "note": "帆" * 5000},
}


def case(name):
    return copy.deepcopy(_case(name))


@cache
def _case(name):
    return CASES[name]()

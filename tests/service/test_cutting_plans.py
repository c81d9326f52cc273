"""Cutting plans over the API: of typed lengths, of many quotes, in quotes; every form, every refusal. Sums are taken by the test itself."""

from __future__ import annotations

import csv
import io
import json
from collections import Counter
from decimal import Decimal
from typing import Any
from xml.etree import ElementTree

import pytest
from flask.testing import FlaskClient
from pypdf import PdfReader
from sqlalchemy import text

from service.demo import demo_names, demo_request
from service.storage import Quotes
from tests.service.steps import accepted, settled

WIRE = {"construction": "1x19", "material": "316", "diameter": "3/16 in"}
AT = "/v1/cutting-plans"
D = Decimal


def post(client: FlaskClient, body: Any, path: str = AT) -> Any:
    return client.post(path, data=json.dumps(body), content_type="application/json")


def typed(client: FlaskClient, *lengths: str, status: int = 201, **more: Any) -> Any:
    """The answer to a plan of typed lengths."""
    answer = post(client, {"wire": WIRE, "pieces": [{"length": each} for each in lengths], **more})
    assert answer.status_code == status, answer.json
    return answer.json


def codes(problem: dict[str, Any]) -> list[tuple[str, str]]:
    return [(each["pointer"], each["code"]) for each in problem["errors"]]


def mm(length: dict[str, str]) -> D:
    return D(length["mm"])


def conserved(plan: dict[str, Any]) -> None:
    """Nothing is cut twice, nothing appears: each object is its cuts, an allowance each, and its remnant; the sums are the plan's."""
    for wire in plan["wires"]:
        allowance = mm(wire["allowance"])
        for use in wire["uses"]:
            place = D(0)
            for cut in use["cuts"]:
                assert (mm(cut["start"]), mm(cut["end"])) == (place, place + mm(cut["length"]))
                place = mm(cut["end"]) + allowance
            assert place == mm(use["used"])
            assert mm(use["length"]) == mm(use["used"]) + mm(use["remnant"])
        assert [cut["step"] for use in wire["uses"] for cut in use["cuts"]] == list(range(1, 1 + sum(len(u["cuts"]) for u in wire["uses"])))
    totals = plan["totals"]
    assert mm(totals["stock"]) == sum(mm(totals[name]) for name in ("pieces", "allowances", "kept", "customers", "scrap"))


def test_an_offcut_as_long_as_a_piece_and_its_allowance_is_used_up(client: FlaskClient) -> None:
    # 5,000 + 3 mm allowance: nothing is left, so its cost is its worth and taking it up, 5.003 m x 2.00 + 2.00 = 12.006
    stock = [{"id": "NEW", "length": "100 m", "price": "300.00", "unlimited": True}, offcut("5003 mm")]
    plan = typed(client, "5 m", stock=stock)
    (use,) = plan["wires"][0]["uses"]
    assert (use["object"], use["remnant"]["mm"], use["remnant_id"]) == ("CUT", "0.0", None)
    assert (plan["cost"], plan["proven"]) == ("12.01", True)


def test_an_offcut_a_tenth_of_a_millimetre_too_short_is_not(client: FlaskClient) -> None:
    stock = [{"id": "NEW", "length": "100 m", "price": "300.00", "unlimited": True}, offcut("5002.9 mm")]
    (use,) = typed(client, "5 m", stock=stock)["wires"][0]["uses"]
    assert use["stock"] == "NEW"


def offcut(length: str) -> dict[str, Any]:
    return {"id": "CUT", "kind": "offcut", "length": length, "price_per_metre": "2.00"}


def test_opened_wire_goes_before_a_new_spool_where_the_books_say_so(client: FlaskClient) -> None:
    plan = typed(client, "9 m", "9 m", "5 m")
    assert {use["source"] for use in plan["wires"][0]["uses"]} <= {"opened", "offcut"}
    conserved(plan)


def test_a_piece_longer_than_any_stock_is_named_and_the_others_are_planned(client: FlaskClient) -> None:
    plan = typed(client, "5 m", "400 m")
    ((left,),) = [wire["unplanned"] for wire in plan["wires"]]
    assert (left["row"], left["reason"], left["quantity"]) == (1, "longer_than_any_stock", 1)
    assert [cut["length"]["mm"] for use in plan["wires"][0]["uses"] for cut in use["cuts"]] == ["5000.0"]


def test_stock_that_does_not_hold_all_is_said(client: FlaskClient) -> None:
    plan = typed(client, "5 m", "5 m", stock=[offcut("6 m")])
    assert [each["reason"] for each in plan["wires"][0]["unplanned"]] == ["stock_exhausted"]


@pytest.mark.parametrize("effort", ["fast", "thorough"])
def test_equal_requests_get_equal_plans_and_each_piece_once(client: FlaskClient, effort: str) -> None:
    pieces = [{"length": f"{700 + 137 * n} mm", "quantity": 1 + n % 3, "label": f"P{n}"} for n in range(30)]
    first, again = (post(client, {"wire": WIRE, "pieces": pieces, "effort": effort}).json for _ in range(2))
    conserved(first)
    assert Counter(cut["label"] for use in first["wires"][0]["uses"] for cut in use["cuts"]) == {f"P{n}": 1 + n % 3 for n in range(30)}
    for plan in (first, again):
        del plan["id"], plan["wires"][0]["seconds"]
    assert first == again
    assert D(first["lower_bound"]) <= D(first["cost"])


def test_terms_of_the_request_stand_in_for_the_shops(client: FlaskClient) -> None:
    # one spool of 10 m at 40.00: 4 m + 0.010 m used; the remnant of 5.990 m is worth 23.96 less the fee of 1.00; 0.50 to take it up
    stock = [{"id": "S", "length": "10 m", "price": "40.00"}]
    terms = {"allowance": "10 mm", "minimum_remnant": "1 m", "touch_cost": "0.50", "remnant_fee": "1.00"}
    kept = typed(client, "4 m", stock=stock, terms=terms)
    assert (kept["cost"], kept["wires"][0]["uses"][0]["remnant_value"]) == ("17.54", "22.96")
    del terms["remnant_fee"]
    gone = typed(client, "4 m", stock=stock, terms={**terms, "bought_for_the_job": True})
    went = [gone["totals"][name]["mm"] for name in ("customers", "scrap", "kept")]
    assert (gone["cost"], went) == ("40.50", ["5990.0", "0.0", "0.0"])
    assert gone["wires"][0]["uses"][0]["remnant_goes_to"] == "customer"


def test_opening_a_new_spool_costs_what_the_request_says(client: FlaskClient) -> None:
    # 10.00 for the spool, nothing of it kept; 0.50 to take it up, 3.00 to open it, of the row or of the terms
    stock, terms = [{"id": "S", "length": "5003 mm", "price": "10.00"}], {"touch_cost": "0.50"}
    assert typed(client, "5 m", stock=stock, terms=terms)["cost"] == "10.50"
    assert typed(client, "5 m", stock=stock, terms={**terms, "opening_cost": "3.00"})["cost"] == "13.50"
    assert typed(client, "5 m", stock=[{**stock[0], "opening_cost": "3.00"}], terms={**terms, "opening_cost": "9.00"})["cost"] == "13.50"


def test_a_plan_for_the_job_cuts_nothing_off_the_shops_offcuts(client: FlaskClient) -> None:
    usual = typed(client, "5 m")
    assert {use["source"] for use in usual["wires"][0]["uses"]} <= {"offcut", "opened"}
    bought = typed(client, "5 m", terms={"bought_for_the_job": True})
    assert {use["source"] for use in bought["wires"][0]["uses"]} == {"new"}


def test_a_long_rest_that_is_worth_less_than_keeping_it_is_scrap_and_that_is_said(client: FlaskClient) -> None:
    # 5 m are left, at 1.00 a metre 5.00: less than the fee of 6.00
    stock = [{"id": "S", "length": "10.003 m", "price_per_metre": "1.00"}]
    plan = typed(client, "5 m", stock=stock, terms={"minimum_remnant": "1 m", "remnant_fee": "6.00"})
    (wire,) = plan["wires"]
    assert (wire["uses"][0]["remnant_goes_to"], [(note["code"], note["subject"]) for note in wire["notes"]]) == (
        "scrap",
        [("remnant_not_worth_keeping", "S")],
    )


def test_stock_of_which_there_is_none_is_exhausted_and_not_too_short(client: FlaskClient) -> None:
    plan = typed(client, "5 m", stock=[{"id": "S", "length": "9 m", "price": "9.00", "count": 0}, offcut("1 m")])
    assert [each["reason"] for each in plan["wires"][0]["unplanned"]] == ["stock_exhausted"]


@pytest.mark.long
def test_twenty_thousand_pieces_are_planned(client: FlaskClient) -> None:
    pieces = [{"length": f"{1500 + (n * 7919) % 9000}.{n % 10} mm"} for n in range(20_000)]
    plan = post(client, {"wire": WIRE, "pieces": pieces, "effort": "fast"}).json
    conserved(plan)
    assert sum(len(use["cuts"]) for use in plan["wires"][0]["uses"]) == 20_000


@pytest.mark.parametrize(
    ("wire", "says"),
    [
        ({"sku": "NO-SUCH"}, "no wire of the catalogue has the sku 'NO-SUCH'"),
        ({"construction": "1x19", "material": "316", "diameter": "17 mm"}, "of this diameter, but of the construction and material it has "),
        ({"construction": "1x19", "material": "bronze", "diameter": "3/16 in"}, "of this material, but of the construction it has "),
        ({"sku": "WIRE-1X19-316-3-16IN", "diameter": "17 mm"}, "no wire of the catalogue is all of this"),
    ],
)  # fmt: skip
def test_a_wire_that_there_is_not_is_refused_with_those_like_it(client: FlaskClient, wire: dict[str, Any], says: str) -> None:
    (fault,) = client.post("/v1/cutting-plans", json={"wire": wire, "pieces": [{"length": "5 m"}]}).json["errors"]
    assert (fault["pointer"], fault["code"]) == ("#/wire", "unknown_wire")
    assert says in fault["detail"]
    assert ("WIRE-1X19-316-3-16IN" in fault["detail"]) is ("it has" in says)


REFUSED: list[tuple[dict[str, Any], list[tuple[str, str]]]] = [
    ({"wire": WIRE, "pieces": []}, [("#/pieces", "list_size")]),
    ({"wire": WIRE}, [("#/pieces", "required")]),
    ({}, [("#/wire", "required"), ("#/pieces", "required")]),
    ({"pieces": [{"length": "5 m"}], "wire": {}}, [("#/wire", "required")]),
    ({"pieces": [{"length": "5 m"}], "wire": {"sku": "NO-SUCH"}}, [("#/wire", "unknown_wire")]),
    ({"pieces": [{"length": "5 m"}], "wire": {"construction": "7x19", "diameter": "3/16 in"}}, [("#/wire", "ambiguous_wire")]),
    ({"wire": WIRE, "pieces": [{"length": "0 mm"}, {"length": "-3 mm"}, {"length": 5}]}, [("#/pieces/0/length", "not_positive"), ("#/pieces/1/length", "not_positive"), ("#/pieces/2/length", "bare_number")]),
    ({"wire": WIRE, "pieces": [{"length": "5 m", "quantity": 0}]}, [("#/pieces/0/quantity", "not_a_count")]),
    ({"wire": WIRE, "pieces": [{"length": "1 m", "quantity": 50_000}, {"length": "1 m"}]}, [("#/pieces", "too_many_pieces")]),
    ({"wire": WIRE, "pieces": [{"length": "5 m"}], "stock": []}, [("#/stock", "list_size")]),
    ({"wire": WIRE, "pieces": [{"length": "5 m"}], "stock": [{"id": "A", "length": "0 m", "price": "1.00"}]}, [("#/stock/0/length", "not_positive")]),
    ({"wire": WIRE, "pieces": [{"length": "5 m"}], "stock": [{"id": "A", "length": "9 m", "price": "1.005"}]}, [("#/stock/0/price", "too_many_decimals")]),
    ({"wire": WIRE, "pieces": [{"length": "5 m"}], "stock": [{"id": "A", "length": "9 m", "price": 1}]}, [("#/stock/0/price", "not_an_amount")]),
    ({"wire": WIRE, "pieces": [{"length": "5 m"}], "stock": [{"id": "A", "length": "9 m"}]}, [("#/stock/0/price", "price_unclear")]),
    ({"wire": WIRE, "pieces": [{"length": "5 m"}], "stock": [{"id": "A", "length": "9 m", "price": "1"}, {"id": "A", "length": "8 m", "price": "1"}]}, [("#/stock/1/id", "repeated_id")]),
    ({"wire": WIRE, "pieces": [{"length": "5 m"}], "stock": [{"id": "A", "kind": "offcut", "unlimited": True, "length": "9 m", "price": "1"}]}, [("#/stock/0/count", "not_unlimited")]),
    ({"wire": WIRE, "pieces": [{"length": "5 m"}], "terms": {"touch_cost": "0.001", "remnant_fee": "0.005"}}, [("#/terms/touch_cost", "too_many_decimals"), ("#/terms/remnant_fee", "too_many_decimals")]),
    ({"wire": WIRE, "pieces": [{"length": "5 m"}], "stock": [{"id": name, "length": "9 m", "price": "1", "count": 501} for name in "AB"]}, [("#/stock", "too_many_objects")]),
    ({"wire": WIRE, "pieces": [{"length": "5 m"}], "stock": [{"id": "A", "kind": "offcut", "length": "9 m", "price": "1", "opening_cost": "1"}]}, [("#/stock/0/opening_cost", "not_new")]),
    ({"wire": WIRE, "pieces": [{"length": "5 m"}], "stock": [{"id": "A", "length": "9 m", "price": "1", "opening_cost": "0.001"}], "terms": {"opening_cost": "0.001"}}, [("#/stock/0/opening_cost", "too_many_decimals"), ("#/terms/opening_cost", "too_many_decimals")]),
    ({"wire": WIRE, "pieces": [{"length": 5}], "stock": [{"id": "A", "length": "9 m", "price": "1"}, {"id": "A", "length": "8 m", "price": "1.005"}, {"id": "B", "length": "8 m"}]}, [("#/pieces/0/length", "bare_number"), ("#/stock/1/id", "repeated_id"), ("#/stock/1/price", "too_many_decimals"), ("#/stock/2/price", "price_unclear")]),
    ({"wire": WIRE, "pieces": [{"length": "5 m"}], "stock": [{"id": "A", "length": "9 m", "price": "1"}, {"id": "B", "kind": "offcut", "length": "8 m", "price": "1"}], "terms": {"bought_for_the_job": True, "remnant_fee": "1.00"}}, [("#/stock/1/kind", "not_with_bought_for_the_job"), ("#/terms/remnant_fee", "not_with_bought_for_the_job")]),
    ({"wire": WIRE, "pieces": [{"length": "5 m"}], "stock": [{"id": f"S{n}", "length": "9 m", "price": "1", "unlimited": True} for n in range(21)]}, [("#/stock", "too_many_unlimited")]),
    ({"quotes": ["01a21211-138e-7ff9-814a-1ce6de70983e", "01A21211-138E-7FF9-814A-1CE6DE70983E"]}, [("#/quotes", "repeated_quote")]),
    ({"quotes": ["no"]}, [("#/quotes/0", "not_an_id")]),
    ({"quotes": ["01a21211-138e-7ff9-814a-1ce6de70983e"]}, [("#/quotes/0", "unknown_quote")]),
    ({"quotes": ["01a21211-138e-7ff9-814a-1ce6de70983e"], "stock": [{"id": "A", "length": "9 m", "price": "1"}]}, [("#/stock", "not_with_quotes")]),
]  # fmt: skip


@pytest.mark.parametrize(("body", "expected"), REFUSED, ids=[",".join(code for _, code in expected) for _, expected in REFUSED])
def test_what_cannot_be_planned_is_refused_at_its_place(client: FlaskClient, body: dict[str, Any], expected: list[tuple[str, str]]) -> None:
    answer = post(client, body)
    assert answer.status_code == 422
    assert codes(answer.json) == expected
    assert all(len(each["detail"]) > 15 for each in answer.json["errors"])


def quote(client: FlaskClient, body: dict[str, Any]) -> Any:
    return post(client, body, "/v1/quotes").json


def test_a_quote_says_nothing_of_the_shelf_and_the_shop_sees_the_cost_of_its_cuts_beside_what_is_charged(
    client: FlaskClient, demo: dict[str, Any]
) -> None:
    made = quote(client, demo)
    assert "cutting_plan" not in made
    inner = client.get(f"/v1/quotes/{made['id']}/cutting-plan").json
    conserved(inner)
    cut = {(c["label"], c["length"]["mm"]) for w in inner["wires"] for use in w["uses"] for c in use["cuts"]}
    assert cut == {(each["tag"], each["cut_length"]["mm"]) for each in made["assemblies"] if each["cut_length"]}
    assert {cut["quote"] for wire in inner["wires"] for use in wire["uses"] for cut in use["cuts"]} == {made["number"]}
    for wire in inner["wires"]:
        lines = [line for line in made["lines"] if line["sku"] == wire["wire"]["sku"]]
        paid = {group: sum((D(line["net"]) for line in lines if line["group"] == group), D(0)) for group in ("wire", "waste")}
        assert {group: D(wire["charged"][group]) for group in paid} == paid
        assert D(wire["cost"]) > 0


def test_the_same_boat_costs_the_same_whatever_is_on_the_shelf(client: FlaskClient, demo: dict[str, Any]) -> None:
    preview = post(client, demo, "/v1/quotes/preview").json
    made = quote(client, demo)
    plan = client.get(f"/v1/quotes/{made['id']}/cutting-plan").json
    accepted(client, made)
    assert post(client, {}, f"/v1/cutting-plans/{plan['id']}/take").status_code == 200
    assert preview["totals"] == made["totals"] == quote(client, demo)["totals"]


def test_wire_bought_for_the_job_has_its_rest_as_a_line_of_its_own(client: FlaskClient, demo: dict[str, Any]) -> None:
    thick = {"tag": "THICK", "role": "pennant", "wire": {"construction": "7x19", "material": "316", "diameter": "1/2 in"}, "quantity": 1,
             "upper": {"terminal": "none", "leave": "1 m"}, "lower": {"terminal": "none", "leave": "1 m"},
             "measurement": {"readings": ["10 m", "10 m"], "support": "flat", "rig_setting": "everyday", "temperature": "20 degC"}}  # fmt: skip
    made = quote(client, {**demo, "assemblies": [thick]})
    (assembly,) = made["assemblies"]
    assert assembly["cut_length"] is not None, assembly["findings"]
    # the shortest length that can be bought is 25 m; 3 mm go with the cut
    (remnant,) = [line for line in made["lines"] if line["rule"] == "remnant"]
    assert D(remnant["quantity"]) == (D(25_000) - D(assembly["cut_length"]["mm"]) - 3) / 1000
    assert not [line for line in made["lines"] if line["rule"] == "scrap"]
    assert made["current_readiness"] == {"THICK": "confirm"}  # it is priced so, and not cut before what it asks is settled
    at = f"/v1/quotes/{made['id']}/cutting-plan"
    waiting = client.get(at).json
    assert (waiting["wires"], [(each["label"], each["reason"]) for each in waiting["left_out"]]) == ([], [("THICK", "not_ready")])
    settled(client, made)
    now = client.get(at).json
    assert (now["wires"][0]["bought_for_the_job"], now["left_out"]) == (True, [])
    assert post(client, {**demo, "assemblies": [thick]}, "/v1/quotes/preview").json["totals"] == made["totals"]


def test_many_quotes_are_planned_together_with_boat_and_tag_on_every_piece(client: FlaskClient, demo: dict[str, Any]) -> None:
    """Of each boat what may be built: what is asked first, or is on hold, is named beside the plan."""
    boats = [quote(client, json.loads(demo_request(name))) for name in demo_names()]
    order = {"quotes": [each["id"] for each in boats], "display_units": "imperial"}
    for settle in (False, True):
        if settle:
            for each in boats:
                settled(client, each)
        plan = post(client, order).json
        conserved(plan)
        found = Counter((cut["quote"], cut["boat"], cut["label"]) for w in plan["wires"] for use in w["uses"] for cut in use["cuts"])
        every = [(b["number"], b["boat"]["name"], a) for b in boats for a in b["assemblies"]]
        ready = ("ready_to_cut", "confirm") if settle else ("ready_to_cut",)
        assert found == {(number, name, a["tag"]): a["quantity"] for number, name, a in every if a["readiness"] in ready}
        left_out = {(each["quote"], each["label"]): (each["quantity"], each["reason"]) for each in plan["left_out"]}
        assert left_out == {(number, a["tag"]): (a["quantity"], "not_ready") for number, _, a in every if a["readiness"] not in ready}
        assert all(each["label"] in each["message"] and each["quote"] in each["message"] for each in plan["left_out"])
    assert len(left_out) == 1  # on hold: nobody's words settle that
    assert plan["title"].endswith(f"and {len(boats) - 1} more")


def test_a_plan_is_read_as_json_drawing_and_bench_list_and_each_has_its_own_tag(client: FlaskClient) -> None:
    made = post(client, {"wire": WIRE, "pieces": [{"length": "5.2 m", "quantity": 2, "label": "=PENNANT()"}]})
    place = made.headers["Location"]
    replies = {media: client.get(place, headers={"Accept": media}) for media in ("application/json", "image/svg+xml", "text/csv")}
    assert replies["application/json"].data == made.data
    assert ElementTree.fromstring(replies["image/svg+xml"].data).tag == "{http://www.w3.org/2000/svg}svg"  # noqa: S314  # our own bytes
    rows = list(csv.DictReader(io.StringIO(replies["text/csv"].data.decode("utf-8-sig"), newline="")))
    assert [row["length_mm"] for row in rows if row["entry"] == "cut"] == ["5200.0", "5200.0"]
    assert [row["label"] for row in rows if row["entry"] == "cut"] == ["'=PENNANT()"] * 2
    tags = {reply.headers["ETag"] for reply in replies.values()}
    assert len(tags) == len(replies)
    for media, reply in replies.items():
        assert reply.headers["Vary"] == ("Accept" if media == "application/json" else "Accept, Accept-Language")
        assert client.get(place, headers={"Accept": media, "If-None-Match": reply.headers["ETag"]}).status_code == 304
        name = {"application/json": "json", "image/svg+xml": "svg", "text/csv": "csv"}[media]
        assert client.get(f"{place}?format={name}").data == reply.data


def test_the_list_reads_no_plan_whole(client: FlaskClient, quotes: Quotes) -> None:
    """A plan may be megabytes, and a page has a hundred: the list is the same where no plan could be read."""
    made = [typed(client, "5 m", "4 m"), typed(client, "7 m")]
    listed = client.get(AT).json
    names = ("id", "title", "day", "stock_source", "currency", "cost", "proven")
    assert [[each[name] for name in names] for each in listed["plans"]] == [[plan[name] for name in names] for plan in reversed(made)]
    with quotes.writing() as connection:
        connection.execute(text("UPDATE cutting_plans SET document = :none"), {"none": b"none"})
    assert client.get(AT).json == listed


def test_a_form_that_is_not_offered_is_406_and_an_unknown_plan_404(client: FlaskClient, quotes: Quotes) -> None:
    made = post(client, {"wire": WIRE, "pieces": [{"length": "5.2 m"}]})
    assert client.get(f"{made.headers['Location']}?format=dxf").status_code == 406
    with quotes.engine().connect() as connection:
        before = connection.execute(text("SELECT count(*) FROM cutting_plans")).scalar_one()
        assert client.post(f"{AT}?format=dxf", json={"wire": WIRE, "pieces": [{"length": "5.2 m"}]}).status_code == 406
        assert connection.execute(text("SELECT count(*) FROM cutting_plans")).scalar_one() == before == 1
    assert client.get(made.headers["Location"], headers={"Accept": "image/png"}).status_code == 406
    assert client.get(f"{AT}/01a21211-138e-7ff9-814a-1ce6de70983e").status_code == 404
    assert client.get("/v1/quotes/01a21211-138e-7ff9-814a-1ce6de70983e/cutting-plan").status_code == 404


def on_paper(answer: Any) -> str:
    assert (answer.status_code, answer.mimetype) == (200, "application/pdf")
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(answer.data)).pages).split())


def test_a_plan_is_set_on_paper_in_the_language_asked_for(client: FlaskClient) -> None:
    plan = typed(client, "9.1 m", "5.2 m")
    answer = client.get(f"{AT}/{plan['id']}?format=pdf&lang=de")
    shown = on_paper(answer)
    assert answer.headers["Content-Language"] == "de"
    assert answer.headers["Content-Disposition"] == f'inline; filename="cutting-plan-{plan["day"]}-de.pdf"'
    assert shown.startswith("Schnittplan: ")
    assert plan["id"] not in shown
    assert (
        client.get(f"{AT}/{plan['id']}", headers={"Accept": "application/pdf", "If-None-Match": answer.headers["ETag"]}).status_code == 200
    )
    again = client.get(f"{AT}/{plan['id']}?lang=de", headers={"Accept": "application/pdf", "If-None-Match": answer.headers["ETag"]})
    assert again.status_code == 304


def test_the_paper_of_a_taken_plan_has_the_tags_of_its_remnants(client: FlaskClient) -> None:
    plan = typed(client, "9.1 m", "5.2 m")
    before = client.get(f"{AT}/{plan['id']}?format=pdf")
    moved = post(client, {}, f"{AT}/{plan['id']}/take").json
    (kept,) = moved["kept_as"]
    assert f"with this tag on it: {kept['tag']}" not in on_paper(before)
    after = client.get(f"{AT}/{plan['id']}?format=pdf", headers={"If-None-Match": before.headers["ETag"]})
    assert f"with this tag on it: {kept['tag']}" in on_paper(after)
    assert f"kept as {kept['tag']}." in client.get(f"{AT}/{plan['id']}?format=svg").text


def test_a_plan_asked_for_on_paper_is_made_once(client: FlaskClient) -> None:
    order = {"wire": WIRE, "pieces": [{"length": "9.1 m"}]}
    made = [client.post(f"{AT}?format=pdf", json=order, headers={"Idempotency-Key": "once-on-paper-0001"}) for _ in range(2)]
    assert [each.status_code for each in made] == [201, 201]
    assert made[0].data == made[1].data
    assert made[0].data.startswith(b"%PDF-")


def test_a_quotes_own_plan_is_set_on_paper(client: FlaskClient) -> None:
    quote = post(client, json.loads(demo_request(demo_names()[0])), "/v1/quotes").json
    shown = on_paper(client.get(f"/v1/quotes/{quote['id']}/cutting-plan?format=pdf"))
    assert f"Quote {quote['number']}, revision 1" in shown

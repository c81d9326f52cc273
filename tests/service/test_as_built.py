"""Finished assemblies are judged: length by the quote's tolerance, shanks by the gauge limit of the edition the quote was made with."""

from __future__ import annotations

import csv
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from pricing.catalogue import DEMO_FOLDER
from pricing.units import parse_length
from service.engine.catalogues import files_of
from service.engine.engine import Engine, engine_of
from service.settings import Settings
from service.storage import Editions, Quotes
from tests.service.conftest import DAY, made_app
from tests.service.shops import rewritten, shop
from tests.service.steps import accepted


@pytest.fixture
def made(client: FlaskClient, demo: dict[str, Any]) -> Any:
    demo["assemblies"] = demo["assemblies"][:1]
    demo["assemblies"][0]["quantity"] = 2
    return client.post("/v1/quotes", json=demo).json


def shank_limit(quote: dict[str, Any], end: str) -> Decimal:
    """The limit as the demo shop's file has it."""
    skus = {part["sku"] for part in quote["assemblies"][0]["parts"] if part["at"] == end}
    with (DEMO_FOLDER / "terminals.csv").open(encoding="utf-8") as file:
        (found,) = [row["shank_after"] for row in csv.DictReader(file) if row["sku"] in skus]
    return parse_length(found)


def record(client: FlaskClient, quote: dict[str, Any], **finished: Any) -> Any:
    body = {"assemblies": [{"tag": quote["assemblies"][0]["tag"], **finished}], "by": "bench two"}
    return client.post(f"/v1/quotes/{quote['id']}/as-built", json=body)


@pytest.mark.parametrize(("beyond", "verdict"), [("0", "pass"), ("0.001", "fail")])
@pytest.mark.parametrize("sign", [1, -1])
def test_a_length_passes_up_to_and_with_its_tolerance(
    client: FlaskClient, made: dict[str, Any], sign: int, beyond: str, verdict: str
) -> None:
    (assembly,) = made["assemblies"]
    off = Decimal(assembly["tolerance"]["mm"]) + Decimal(beyond)
    answer = record(client, made, finished_length=f"{Decimal(assembly['target_length']['mm']) + sign * off} mm")
    assert answer.status_code == 201
    (judged,) = answer.json["assemblies"]
    assert (answer.json["verdict"], judged["verdict"], Decimal(judged["deviation"]["mm"])) == (verdict, verdict, sign * off)
    assert ("too long" if sign > 0 else "too short") in judged["checks"][0]["words"]
    assert [each["result"] for each in judged["checks"][1:]] == ["not_judged", "not_judged"]


@pytest.mark.parametrize("end", ["upper", "lower"])
def test_a_shank_passes_up_to_and_with_its_gauge_limit_and_never_thinner_than_its_wire(
    client: FlaskClient, made: dict[str, Any], end: str
) -> None:
    target, limit = made["assemblies"][0]["target_length"]["mm"], shank_limit(made, end)
    wire = parse_length(made["assemblies"][0]["wire"]["size"])
    readings = [f"{mm} mm" for mm in (limit, limit + Decimal("0.001"), wire, wire - Decimal("0.001"))]
    answer = record(client, made, finished_length=f"{target} mm", **{f"{end}_shank": readings})
    checks = [each for each in answer.json["assemblies"][0]["checks"] if each["what"] == f"{end}_shank"]
    assert [each["result"] for each in checks] == ["pass", "fail", "pass", "fail"]
    assert answer.json["verdict"] == "fail"
    assert record(client, made, finished_length=f"{target} mm", **{f"{end}_shank": readings[:1]}).json["verdict"] == "pass"


def test_the_limits_are_those_of_the_quotes_edition_not_of_the_tables_in_force(
    quotes: Quotes, engine: Engine, made: dict[str, Any], tmp_path: Path
) -> None:
    settings = Settings(today=DAY)
    Editions(quotes).put_in_force(engine.key, files_of(shop(tmp_path / "then")))
    later = shop(tmp_path / "later")
    thinner = {"shank_after": "0.1 mm"}
    rewritten(later / "terminals.csv", lambda row: {**row, **(thinner if row["shank_after"] else {})})
    client = made_app(engine_of(later, settings), quotes).test_client()
    limit = f"{shank_limit(made, 'upper')} mm"
    target = made["assemblies"][0]["target_length"]["mm"]
    answer = record(client, made, finished_length=f"{target} mm", upper_shank=[limit])
    assert (answer.json["verdict"], answer.json["tables"]) == ("pass", "kept")


def test_every_record_is_kept_and_is_in_the_history(client: FlaskClient, made: dict[str, Any]) -> None:
    target = made["assemblies"][0]["target_length"]["mm"]
    said = [record(client, made, finished_length=f"{target} mm", piece=piece).json for piece in (1, 2)]
    assert client.get(f"/v1/quotes/{made['id']}/as-built").json["records"] == said
    events = client.get(f"/v1/quotes/{made['id']}/events").json["events"]
    assert [(each["type"], each["by"]) for each in events[1:]] == [("quote.as_built", "bench two")] * 2
    assert client.get(f"/v1/quotes/{made['id']}").json == made  # still issued, although every piece passed: nobody accepted it


def test_a_quote_is_built_once_the_latest_record_of_every_piece_passed_and_open_again_by_one_that_fails(
    client: FlaskClient, made: dict[str, Any]
) -> None:
    """Two pieces of one assembly."""
    accepted(client, made)
    target = Decimal(made["assemblies"][0]["target_length"]["mm"])
    statuses = []
    for piece, off in ((1, 0), (2, 60), (2, 0), (1, 60), (1, 0)):
        record(client, made, finished_length=f"{target + off} mm", piece=piece)
        statuses.append(client.get(f"/v1/quotes/{made['id']}").json["status"])
    assert statuses == ["accepted", "accepted", "built", "in_work", "built"]
    events = client.get(f"/v1/quotes/{made['id']}/events").json["events"]
    assert [(each["type"], each["by"], each["key"]) for each in events[-3:]] == [
        ("quote.reopened", "bench two", "demo"),
        ("quote.as_built", "bench two", "demo"),
        ("quote.built", "bench two", "demo"),
    ]


def test_what_the_quote_does_not_build_is_refused_with_every_fault_and_nothing_is_kept(client: FlaskClient, demo: dict[str, Any]) -> None:
    demo["assemblies"] = demo["assemblies"][:2]
    demo["assemblies"][1]["turnbuckle"].pop("setting")
    made = client.post("/v1/quotes", json=demo).json
    good, held = (each["tag"] for each in made["assemblies"])
    finished = [(good, 1), ("NO-SUCH", 1), (held, 1), (good, 2), (good, 1)]
    body = {"assemblies": [{"tag": tag, "piece": piece, "finished_length": "9 m"} for tag, piece in finished]}
    answer = client.post(f"/v1/quotes/{made['id']}/as-built", json=body)
    assert answer.status_code == 422
    assert [(each["pointer"], each["code"]) for each in answer.json["errors"]] == [
        ("#/assemblies/1/tag", "unknown_tag"),
        ("#/assemblies/2/tag", "on_hold"),
        ("#/assemblies/3/piece", "unknown_piece"),
        ("#/assemblies/4", "duplicate_piece"),
    ]
    assert client.get(f"/v1/quotes/{made['id']}/as-built").json == {"records": []}


def test_a_withdrawn_quote_takes_no_record(client: FlaskClient, made: dict[str, Any]) -> None:
    client.post(f"/v1/quotes/{made['id']}/withdrawal", json={})
    assert record(client, made, finished_length="9 m").status_code == 409

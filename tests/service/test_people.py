"""A customer's data exported and erased, on each database: everywhere, all or nothing, and the quote numbers stay."""

from __future__ import annotations

import gzip
import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import select

from service.__main__ import main
from service.cli.customers import months_before
from service.engine.engine import Engine
from service.storage import Quotes
from service.storage.tables import answers
from tests.batches.fleet import NDJSON, boat, ndjson, worked
from tests.service.conftest import DAY, made_app

NAME, MAIL, BOAT, NOTE = "Zebulon Quillfeather", "zq@example.org", "Snarkwhistle", "Ring at the yellow houseboat."
OTHER = "Marigold Tansy"


@pytest.fixture
def shop(engine: Engine, store: Quotes, monkeypatch: pytest.MonkeyPatch) -> Flask:
    monkeypatch.setenv("SERVICE_DATABASE_URL", store._url)
    monkeypatch.setenv("SERVICE_TODAY", DAY.isoformat())
    return made_app(engine, store)


def post(app: Flask, path: str, body: Any, **headers: str) -> Any:
    answer = app.test_client().post(path, data=json.dumps(body), content_type="application/json", headers=headers)
    assert answer.status_code in (200, 201), answer.json
    return answer


def quoted(app: Flask, demo: dict[str, Any], name: str = NAME, mail: str = MAIL, boat: str = BOAT) -> Any:
    asked = {**demo, "customer": {"name": name, "reference": f"ref of {name}", "email": mail}, "boat": {"name": boat}, "note": NOTE}
    return post(app, "/v1/quotes", asked)


def without_words(assembly: dict[str, Any]) -> dict[str, Any]:
    """An assembly of a quote without what a customer wrote in words."""
    return {**assembly, "findings": [each for each in assembly["findings"] if each["code"] != "customers-note"]}


def everything(app: Flask, *ids: str) -> str:
    """What the service still says of quotes, in all its forms."""
    client = app.test_client()
    parts = ("", "/events", "/as-built", "/settlements")
    paths = [f"/v1/quotes/{each}{part}" for each in ids for part in parts]
    paths += [f"/v1/quotes/{each}/cutting-plan?format={form}" for each in ids for form in ("json", "svg", "csv")]
    return " ".join(client.get(path).get_data(as_text=True) for path in paths)


@pytest.fixture
def lived(shop: Flask, demo: dict[str, Any]) -> dict[str, Any]:
    """A quote of which everything was said: settled, accepted, built, planned with another's."""
    made = quoted(shop, demo)
    at = f"/v1/quotes/{made.json['id']}"
    asked = shop.test_client().get(f"{at}/settlements").json["open"]
    answers = [{**{name: each[name] for name in ("tag", "code", "pointer") if each[name]}, "words": NOTE, "by": NAME} for each in asked]
    settled = post(shop, f"{at}/settlements", {"settlements": answers})
    assert shop.test_client().get(f"/v1/quotes/{made.json['id']}/cutting-plan").status_code == 200
    tag = next(each["tag"] for each in made.json["assemblies"] if each["target_length"])
    length = next(each["target_length"]["mm"] for each in made.json["assemblies"] if each["target_length"])
    post(shop, f"{at}/acceptance", {"customer": {"name": NAME}, "note": NOTE}, **{"If-Match": settled.headers["ETag"]})
    built = {"assemblies": [{"tag": tag, "finished_length": f"{length} mm"}], "by": NAME, "note": NOTE}
    post(shop, f"/v1/quotes/{made.json['id']}/as-built", built)
    found: dict[str, Any] = made.json
    return found


def test_an_export_has_all_that_is_kept(shop: Flask, lived: dict[str, Any], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["customers", "export", f"  {NAME.upper()} "]) == 0
    (found,) = json.loads(capsys.readouterr().out)["quotes"]
    assert found["quote"]["number"] == lived["number"]
    assert found["request"]["customer"]["name"] == NAME
    assert [each["type"] for each in found["events"]] == ["quote.settled", "quote.accepted", "quote.as_built"]
    assert {(each["by"], each["words"]) for each in found["quote"]["settlements"]} == {(NAME, NOTE)}
    assert found["quote"]["accepted"]["by"] == NAME
    assert found["as_built"][0]["by"] == NAME
    assert found["cutting_plans"][0]["title"] == BOAT


def test_erasing_leaves_the_numbers_and_no_name_in_any_form(shop: Flask, demo: dict[str, Any], lived: dict[str, Any]) -> None:
    other = quoted(shop, demo, OTHER, "mt@example.org", "Pimpernel").json
    shared = post(shop, "/v1/cutting-plans", {"quotes": [lived["id"], other["id"]]}).json
    assert main(["customers", "erase", MAIL, "--yes"]) == 0
    left = everything(shop, lived["id"]) + shop.test_client().get(f"/v1/cutting-plans/{shared['id']}").get_data(as_text=True)
    assert [word for word in (NAME, MAIL, BOAT, NOTE) if word in left] == []
    now = shop.test_client().get(f"/v1/quotes/{lived['id']}").json
    assert now["erased_on"] == DAY.isoformat()
    assert ({each["by"] for each in now["settlements"]}, now["accepted"]["by"], now["status"]) == ({"erased"}, "erased", "accepted")
    assert set(now["current_readiness"].values()) == {"ready_to_cut"}  # still settled
    numbers = ("number", "totals", "lines", "provenance")
    assert {name: now[name] for name in numbers} == {name: lived[name] for name in numbers}
    assert [without_words(each) for each in now["assemblies"]] == [without_words(each) for each in lived["assemblies"]]
    assert OTHER in everything(shop, other["id"])
    assert "Pimpernel" in shop.test_client().get(f"/v1/cutting-plans/{shared['id']}").get_data(as_text=True)
    happened = shop.test_client().get(f"/v1/quotes/{lived['id']}/events").json["events"]
    assert happened[-1]["type"] == "quote.erased"
    assert lived["checksum"] in happened[-1]["note"]


def test_an_erased_quote_is_recomputed_to_the_same_numbers(shop: Flask, lived: dict[str, Any], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["catalogue", "load"]) == 2  # the demo tables; a start keeps them instead
    from service.engine.catalogues import files_of
    from service.engine.engine import folder_of
    from service.settings import Settings
    from service.storage import Editions

    engine = shop.extensions["catalogues"].current()
    Editions(shop.extensions["quotes"]).put_in_force(engine.key, files_of(folder_of(Settings())))
    assert main(["customers", "erase", NAME, "--yes"]) == 0
    capsys.readouterr()
    assert main(["recompute", lived["number"]]) == 0
    assert "1 the same, 0 different" in capsys.readouterr().out


def test_tags_that_are_alike_once_erased_are_as_ready_as_the_least_ready_and_cut_together() -> None:
    from service.lifecycle import erasure
    from service.lifecycle.personal_words import PersonalWords

    stands = {
        "settlements": [],
        "current_readiness": {f"CAP {BOAT}": "hold", "CAP Zebulon": "ready_to_cut", "LOW-P": "confirm"},
        "pieces_cut": {f"CAP {BOAT}": 1, "CAP Zebulon": 2},
        "accepted": None,
    }
    assert erasure.erased_standing(stands, PersonalWords([BOAT, "Zebulon"])) == {
        "settlements": [],
        "current_readiness": {"CAP erased": "hold", "LOW-P": "confirm"},
        "pieces_cut": {"CAP erased": 3},
        "accepted": None,
    }


def test_without_yes_nothing_is_erased_and_nobody_is_said(shop: Flask, lived: dict[str, Any], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["customers", "erase", NAME]) == 2
    said = capsys.readouterr()
    assert f"{lived['number']} revision 1" in said.out
    assert "no terminal" in said.err
    assert main(["customers", "erase", "Zebulon", "--yes"]) == 2  # a part of a name is not the name
    assert NAME in everything(shop, lived["id"])


def test_an_erasure_that_fails_in_the_middle_erases_nothing(
    shop: Flask, demo: dict[str, Any], lived: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    second = quoted(shop, demo).json
    from service.lifecycle import erasure

    seen: list[str] = []

    def failing(document: dict[str, Any], day: str, words: Any) -> dict[str, Any]:
        seen.append(day)
        if len(seen) == 2:
            raise OSError("disk full")
        return {**document, "customer": dict(erasure.NOBODY)}

    monkeypatch.setattr(erasure, "erased_quote", failing)
    assert main(["customers", "erase", NAME, "--yes"]) == 2
    assert all(shop.test_client().get(f"/v1/quotes/{each['id']}").json["customer"]["name"] == NAME for each in (lived, second))


def test_the_file_of_an_sqlite_database_has_no_word_of_it_left(
    engine: Engine, quotes: Quotes, demo: dict[str, Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SERVICE_DATABASE_URL", quotes._url)
    monkeypatch.setenv("SERVICE_TODAY", DAY.isoformat())
    app = made_app(engine, quotes)
    made = quoted(app, demo).json
    post(app, f"/v1/quotes/{made['id']}/decline", {"by": NAME, "reason": NOTE})
    files = lambda: b"".join(each.read_bytes() for each in tmp_path.glob("quotes.sqlite3*"))  # noqa: E731
    assert NAME.encode() in files()  # who declined stands there as it was said
    quotes.close()
    assert main(["customers", "erase", NAME, "--yes"]) == 0
    assert NAME.encode() not in files()


def test_retention_takes_only_what_has_been_quiet_for_so_long(
    shop: Flask, lived: dict[str, Any], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["customers", "retain", "--yes"]) == 2  # nothing is set
    monkeypatch.setenv("SERVICE_RETENTION_MONTHS", "24")
    assert main(["customers", "retain", "--yes"]) == 0
    assert NAME in everything(shop, lived["id"])
    monkeypatch.setenv("SERVICE_TODAY", "2030-01-01")
    assert main(["customers", "retain"]) == 2
    assert NAME in everything(shop, lived["id"])
    assert main(["customers", "retain", "--yes"]) == 0
    assert NAME not in everything(shop, lived["id"])
    capsys.readouterr()
    assert main(["customers", "retain", "--yes"]) == 0
    assert "every quote that names someone was used on or after" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("day", "months", "before"),
    [("2026-11-25", 24, "2024-11-25"), ("2026-03-31", 1, "2026-02-28"), ("2024-02-29", 12, "2023-02-28"), ("2026-01-15", 13, "2024-12-15")],
)
def test_months_before_end_in_their_month(day: str, months: int, before: str) -> None:
    assert months_before(date.fromisoformat(day), months) == date.fromisoformat(before)


def test_the_repeatability_of_a_reading_is_pooled_over_stored_quotes(shop: Flask, capsys: pytest.CaptureFixture[str]) -> None:
    """JCGM 100, 4.2.4: 9000 and 9002: Σ(x − mean)² = 2, 1 degree; 5000, 5001, 5003: 4.6667, 2 degrees; √(6.6667/3) = 1.4907. 100 mm apart: left out."""
    assert main(["repeatability"]) == 2
    fork, wire = {"terminal": "fork", "attachment": "swage"}, {"construction": "1x19", "material": "316", "diameter": "5 mm"}
    lengths = {"A": ("9000 mm", "9002 mm"), "B": ("5000 mm", "5001 mm", "5003 mm"), "C": ("7000 mm", "7100 mm"), "D": ("4000 mm",)}
    post(shop, "/v1/quotes", {"assemblies": [
        {"tag": tag, "role": "pennant", "wire": wire, "upper": fork, "lower": fork, "measurement": {"readings": list(readings), "support": "flat"}}
        for tag, readings in lengths.items()
    ]})  # fmt: skip
    capsys.readouterr()
    assert main(["repeatability"]) == 0
    row, words = capsys.readouterr().out.splitlines()
    assert row == "repeatability,1.49,mm"
    assert "From 2 lengths" in words
    assert "3 degrees of freedom" in words


def test_growth_is_printed_for_the_catalogue(shop: Flask, demo: dict[str, Any], capsys: pytest.CaptureFixture[str]) -> None:
    demo["assemblies"] = demo["assemblies"][:1]
    demo["assemblies"][0]["quantity"] = 6
    made = post(shop, "/v1/quotes", demo).json
    target = float(made["assemblies"][0]["target_length"]["mm"])
    report = [
        {"tag": made["assemblies"][0]["tag"], "piece": n, "finished_length": f"{target + 0.4 + 0.1 * (n % 2):.3f} mm"} for n in range(1, 7)
    ]
    post(shop, f"/v1/quotes/{made['id']}/as-built", {"assemblies": report})
    assert main(["growth"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "terminal,construction,wire_size,growth,growth_u,records,degrees_of_freedom,remark"
    assert all(",6,5," in line for line in lines[1:])
    assert main(["growth", "--least", "x"]) == 2


def test_what_is_kept_to_be_answered_again_is_erased_too_and_nothing_is_made_twice(
    shop: Flask, store: Quotes, demo: dict[str, Any]
) -> None:
    asked = {**demo, "customer": {"name": NAME, "email": MAIL}, "boat": {"name": BOAT}, "note": NOTE}
    made = post(shop, "/v1/quotes", asked, **{"Idempotency-Key": "once"})
    assert main(["customers", "erase", NAME, "--yes"]) == 0
    with store.reading() as connection:
        kept = [gzip.decompress(body).decode() for body in connection.execute(select(answers.c.body)).scalars()]
    assert len(kept) == 1
    assert not [each for each in (NAME, MAIL, BOAT, NOTE) if each in kept[0]]
    again = post(shop, "/v1/quotes", asked, **{"Idempotency-Key": "once"})
    assert again.json["id"] == made.json["id"]
    assert again.json["customer"]["name"] is None
    assert len(shop.test_client().get("/v1/quotes").json["quotes"]) == 1


def test_a_refused_line_keeps_no_name_that_stands_in_the_place_of_a_field(shop: Flask, store: Quotes, demo: dict[str, Any]) -> None:
    quoted(shop, demo)
    lines = ndjson(boat(None, **{NAME: True, "colour": "red"}), boat(None, **{OTHER: True}))
    made = shop.test_client().post("/v1/batches", data=lines, content_type=NDJSON).json["id"]
    worked(shop, store)
    before = _pointers(shop, made)
    assert before == {"#/Zebulon%20Quillfeather", "#/colour", "#/Marigold%20Tansy"}
    assert main(["customers", "erase", NAME, "--yes"]) == 0
    assert _pointers(shop, made) == {"#/erased", "#/Marigold%20Tansy"}


def _pointers(app: Flask, batch: str) -> set[str]:
    lines = app.test_client().get(f"/v1/batches/{batch}/results").data.splitlines()
    return {each["pointer"] for line in lines for each in json.loads(line)["problem"]["errors"]}

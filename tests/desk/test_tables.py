"""The owner sends tables, sees what they would do, and puts them in force from a day on. Expected values: the API's of the same moment, or by hand."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import timedelta
from io import BytesIO
from typing import Any

import pytest
from flask import Flask

from service.credentials.people import Role
from service.engine.engine import Engine
from service.storage import Quotes
from tests.desk.colleague import Colleague
from tests.desk.formats import other_ways, read_on
from tests.desk.small_loft import desk, loft, small
from tests.desk.test_refusals import ENGLISH, refused_in
from tests.service.conftest import DAY, made_app

__all__ = ["desk", "loft", "small"]
WEEK = (DAY + timedelta(7)).isoformat()
END = {"terminal": "fork", "attachment": "swage", "pin": "8 mm"}
READINGS = {"readings": ["9487.5 mm", "9488.1 mm"], "support": "flat", "rig_setting": "everyday", "temperature": "18 degC"}
STAY = {
    "tag": "STAY", "role": "forestay", "wire": {"construction": "1x19", "material": "316", "diameter": "4 mm"}, "upper": END, "lower": END,
    "measurement": READINGS,
}  # fmt: skip
BOAT = {"price_list": "retail", "delivery": "collect", "assemblies": [STAY]}
SEE, PUT, SEND = "See what they would do", "Put in force from 2 December 2026", "Send and check"


@pytest.fixture
def owner(desk: Flask) -> Colleague:
    """Its owner, at the page of tables."""
    made = Colleague(desk, Role.OWNER)
    made.go("/desk/tables")
    return made


def dearer(small: dict[str, str]) -> dict[str, str]:
    """The fork at 8.50 in place of 7.50: 1/7.5 = 13.3 % more."""
    return {"prices.csv": small["prices.csv"].replace(",7.50,", ",8.50,", 1)}


def chosen(files: dict[str, str | bytes]) -> list[tuple[BytesIO, str]]:
    return [(BytesIO(text if isinstance(text, bytes) else text.encode()), name) for name, text in files.items()]


def doubtful(small: dict[str, str]) -> dict[str, Any]:
    """A rate of 0.19: a tax written as a share."""
    header, first, *rest = small["tax.csv"].splitlines()
    cells = first.split(",")
    cells[header.split(",").index("rate")] = "0.19"
    return {**small, "tax.csv": "\n".join([header, ",".join(cells), *rest]) + "\n"}


def known(desk: Flask) -> Iterator[tuple[str, str]]:
    return ((each["id"], each["status"]) for each in desk.test_client().get("/v1/tables").json["editions"])


def test_a_dearer_fork_is_sent_seen_and_put_and_counts_from_its_day(
    owner: Colleague, desk: Flask, loft: Engine, small: dict[str, str]
) -> None:
    assert '"' not in small["prices.csv"]
    as_saved = {"Prices.csv": dearer(small)["prices.csv"].replace(",", ";").encode("utf-16")}
    assert owner.press(SEND, files=chosen(as_saved), base=loft.key.id).status_code == 200
    assert "Nothing counts yet" in owner.text
    edition = owner.at.split("/")[-1].split("?")[0]
    assert dict(known(desk)) == {edition: "draft", loft.key.id: "in_force"}
    assert not owner.forms(PUT)
    owner.go(f"/desk/tables/{edition}?from={WEEK}")
    assert "0 new, 0 gone, 1 changed" in owner.text
    assert "unit_price: 7.50 → 8.50 (13.3%)" in owner.text
    to, fields = owner.prepared(PUT, words="the maker's list of December")
    owner.send(to, fields)
    assert "It is put in force." in owner.text
    assert "Olga Ownerby: the maker's list of December" in owner.text
    changes = desk.test_client().get("/v1/tables").json["changes"]
    assert [changes[0][name] for name in ("edition", "from_day", "by", "words")] == [
        edition,
        WEEK,
        "Olga Ownerby",
        "the maker's list of December",
    ]
    owner.send(to, fields)  # pressed again, or after going back
    assert len(desk.test_client().get("/v1/tables").json["changes"]) == len(changes)


def test_what_an_open_quote_would_ask_is_told_in_money(owner: Colleague, desk: Flask, loft: Engine, small: dict[str, str]) -> None:
    """Two forks, each 1.00 more, with 7 % tax: 2.14."""
    issued = desk.test_client().post("/v1/quotes", json=BOAT)
    assert issued.status_code == 201, issued.json
    made = desk.test_client().post("/v1/tables", json={"files": dearer(small), "base": loft.key.id}).json
    owner.go(f"/desk/tables/{made['edition']['id']}?from={WEEK}")
    assert issued.json["number"] in owner.text
    assert "+€2.14" in owner.text


def test_an_earlier_edition_is_put_in_force_again(owner: Colleague, desk: Flask, loft: Engine, small: dict[str, str]) -> None:
    put_by_a_program(desk, small, DAY.isoformat())
    owner.go(f"/desk/tables/{loft.key.id}?from={DAY}")
    assert "They counted earlier" in owner.text
    owner.press("Put in force from 25 November 2026")
    assert dict(known(desk))[loft.key.id] == "in_force"


def test_who_was_slower_sees_how_it_stands_and_keeps_the_words(owner: Colleague, desk: Flask, loft: Engine, small: dict[str, str]) -> None:
    owner.go(f"/desk/tables/{loft.key.id}?from={WEEK}")
    put_by_a_program(desk, small, WEEK)
    assert owner.press(PUT, words="as it was <b>before</b>").status_code == 409
    assert "Someone else put tables in force meanwhile" in owner.text
    assert owner.prepared(PUT)[1]["words"] == "as it was <b>before</b>"
    assert owner.press(PUT).status_code == 200


def put_by_a_program(desk: Flask, small: dict[str, str], day: str) -> None:
    made = desk.test_client().post("/v1/tables", json={"files": {**small, **dearer(small)}}).json
    order = {"from_day": day, "by": "Jo", "seen": made["last_change"]}
    assert desk.test_client().post(f"/v1/tables/{made['edition']['id']}/in-force", json=order).status_code == 200


def test_what_is_doubted_is_ticked_with_words(owner: Colleague, desk: Flask, small: dict[str, str], quotes: Quotes) -> None:
    owner.press(SEND, files=chosen(doubtful(small)), base="")
    owner.press(SEE)
    owner.go(f"?from={WEEK}")
    assert "Can be read, but is probably a mistake" in owner.text
    assert "tax.csv, row 2, column rate: 0.19" in owner.text
    assert owner.press(PUT, words="so it is").status_code == 409
    assert "Something is doubted and not accepted yet" in owner.text
    name = next(each.get("value") for each in owner.page.iter("{http://www.w3.org/1999/xhtml}input") if each.get("name") == "accept")
    assert owner.press(PUT, accept=[name], words="").status_code == 422
    assert "Say why it is right" in owner.text
    assert owner.prepared(PUT)[1]["accept"] == name  # still ticked
    assert owner.press(PUT, words="a duty, no tax").status_code == 200
    (edition,) = [each for each, state in known(desk) if state == "coming"]
    kept = desk.test_client().get(f"/v1/tables/{edition}/files").json["files"]["accepted_doubts.csv"]
    assert kept.splitlines()[1] == f'{name},Olga Ownerby,{DAY.isoformat()},"a duty, no tax"'


def test_faults_are_listed_by_file_row_and_column(owner: Colleague, desk: Flask, loft: Engine, small: dict[str, str]) -> None:
    before = list(known(desk))
    wrong = {**small, "pins.csv": small["pins.csv"].replace("invented for tests", "", 1).replace("Pin, long", "<script>Pin")}
    assert owner.press(SEND, files=chosen(wrong), base="").status_code == 422
    assert "Something in the files cannot be" in owner.text
    assert "pins.csv2source" in owner.text  # three cells
    assert "<script>" not in owner.reply.text.replace("<script src", "")
    assert list(known(desk)) == before


@pytest.mark.parametrize(
    ("files", "words"),
    [
        ({}, "No file was chosen"),
        ({"prices.csv": b"sku,\xff\x00\x81"}, "A file cannot be read"),
        ({"../../etc/passwd": "x"}, "is no file of the tables"),
        ({"<img src=x>.csv": "x"}, "a file that is no table"),
    ],
)
def test_files_that_are_none_are_refused(owner: Colleague, files: dict[str, str | bytes], words: str) -> None:
    assert owner.press(SEND, files=chosen(files) or None).status_code == 422
    assert words in owner.text
    assert "<img" not in owner.reply.text


def test_a_past_day_is_refused_in_words_and_the_form_stays(owner: Colleague, loft: Engine) -> None:
    assert owner.go(f"/desk/tables/{loft.key.id}?from=2026-01-01").status_code == 422
    assert "That day is past" in owner.text
    assert owner.forms(SEE)
    assert owner.go(f"/desk/tables/{loft.key.id}?from=<script>").status_code == 422
    assert owner.go("/desk/tables/none?from=x").status_code == 404


def test_a_file_is_taken_as_it_is_stored(owner: Colleague, loft: Engine, small: dict[str, str]) -> None:
    reply = owner.go(f"/desk/tables/{loft.key.id}/files/terms.csv")
    assert reply.get_data(as_text=True) == small["terms.csv"]
    assert "attachment" in reply.headers["Content-Disposition"]
    assert owner.go(f"/desk/tables/{loft.key.id}/files/..%2Fx.csv").status_code == 404


def test_too_large_a_form_is_refused_before_it_is_read(loft: Engine, quotes: Quotes) -> None:
    owner = Colleague(made_app(loft, quotes, desk=True, max_body_bytes=2000), Role.OWNER)
    owner.go("/desk/tables")
    assert owner.press(SEND, files=chosen({"prices.csv": "x" * 3000})).status_code == 413
    assert "That is too large" in owner.text


@pytest.mark.parametrize("role", [Role.COUNTER, Role.BENCH])
def test_others_see_no_tables(owner: Colleague, desk: Flask, loft: Engine, role: Role) -> None:
    other = Colleague(desk, role)
    assert "/desk/tables" not in other.links()
    for address in ("/desk/tables", f"/desk/tables/{loft.key.id}", f"/desk/tables/{loft.key.id}/files/terms.csv"):
        assert other.go(address).status_code == 403
    to, fields = owner.prepared(SEND)
    assert other.send(to, {**fields, "form": ""}).status_code == 403


def test_days_money_and_figures_of_tables_and_terms_are_written_in_one_way(desk: Flask, loft: Engine, small: dict[str, str]) -> None:
    client = desk.test_client()
    assert client.post("/v1/quotes", json=BOAT).status_code == 201
    later = {**dearer(small), "terms.csv": f"{small['terms.csv']}validity_days,21,day,{WEEK},decided in a test\n"}
    edition = client.post("/v1/tables", json={"files": later, "base": loft.key.id}).json["edition"]["id"]
    seen = client.get("/v1/tables").json["last_change"]
    put = {"from_day": DAY.isoformat(), "by": "Olga", "seen": seen}
    assert client.post(f"/v1/tables/{edition}/in-force", json=put).status_code == 200
    for language, day in (("en", "2 December 2026"), ("de", "2. Dezember 2026")):
        owner = Colleague(desk, Role.OWNER, language)
        for page in ("/desk/tables", f"/desk/tables/{edition}?from={WEEK}", f"/desk/tables/{loft.key.id}?from={WEEK}", "/desk/terms"):
            owner.go(page)
            assert owner.reply.status_code == 200
            assert list(other_ways(read_on(owner), language)) == [], page
        assert day in owner.text


def test_tables_are_refused_in_german(desk: Flask, loft: Engine, small: dict[str, str]) -> None:
    client, owner = desk.test_client(), Colleague(desk, Role.OWNER, "de")
    owner.go("/desk/tables")
    form = owner.prepared("English")[1]["form"]
    edition = client.post("/v1/tables", json={"files": doubtful(small)}).json["edition"]["id"]
    for path, fields, words in (
        ("", {}, "keine Datei gewählt"),
        ("", {"files": chosen(dearer(small)), "base": ""}, "wählen Sie die Ausgabe"),
        ("", {"files": chosen({"passwd": "x"}), "base": loft.key.id}, "passwd ist keine Datei der Tabellen"),
        ("", {"files": chosen(dearer(small)), "base": "0123456789abcdef-0123456789abcdef"}, "nicht mehr gespeichert"),
        ("", {"files": chosen({"prices.csv": b"sku,\xff\x00\x81"})}, "prices.csv"),
        (f"/{edition}/in-force", {"from": "2020-01-01", "seen": "1"}, "vorbei"),
        (f"/{edition}/in-force", {"from": WEEK, "seen": "99"}, "zweifelhaft"),
        (f"/{edition}/in-force", {"from": WEEK, "seen": "1", "accept": "tax/none"}, "warum"),
        (f"/{edition}/in-force", {"from": WEEK, "seen": "1", "accept": "tax/none", "words": "Ja."}, "nicht bezweifelt"),
        (f"/{loft.key.id}/in-force", {"from": WEEK, "seen": "99"}, "Inzwischen"),
        ("/none/in-force", {"from": WEEK, "seen": "1"}, "nichts"),
    ):
        owner.send(f"/desk/tables{path}", {"form": form, **fields})
        assert owner.reply.status_code >= 400, path
        said = refused_in(owner)
        assert words in said
        assert ENGLISH.findall(re.sub(r"\S*[._]\S+", "", said)) == [], said


def test_after_a_refusal_the_files_are_named_to_be_chosen_again(owner: Colleague, small: dict[str, str], loft: Engine) -> None:
    faulty = {"prices.csv": small["prices.csv"].replace(",7.50,", ",dear,", 1), "<b>.csv": ""}
    owner.press(SEND, files=chosen(faulty), base="")
    assert "Choose again: prices.csv, <b>.csv." in owner.text
    assert "<b>.csv" not in owner.reply.text
    assert owner.prepared(SEND)[1]["base"] == ""  # as it was chosen, and not the edition in force
    owner.go("/desk/tables")
    assert "Choose again" not in owner.text

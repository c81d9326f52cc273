"""What the desk refuses is said in the reader's language, with the numbers and names that it is about, and names the field.

Expected words are written by hand. That nothing is left in English is judged by words that German has not.
"""

from __future__ import annotations

import re
from io import BytesIO
from typing import Any

import pytest
from flask import Flask

from service.credentials.people import Role
from service.desk.fault_words import values_in
from service.lifecycle.statuses import REASONS
from tests.batches.fleet import worked
from tests.desk.colleague import XHTML, Colleague
from tests.desk.test_bench_cuts import quoted
from tests.desk.test_quote import asked, made, now
from tests.service.steps import accepted

Json = dict[str, Any]
ENGLISH = re.compile(
    r"\b(?:the|is|are|and|this|these|those|that|of|to|with|write|send|give|choose|already|has|have|cannot|not|quote|wire|assembly|see|read|field|used?|"
    r"expected|accepted|found|nothing|something|must|its|from|day|row|column|again|here)\b",
    re.IGNORECASE,
)
NONE = "01a21202-0dfc-7812-9843-0e6a6544d0d4"


class Desk:
    """People of a shop, in German, who send what their forms would send; `said` is what they read then."""

    def __init__(self, app: Flask) -> None:
        self.people = {role: Colleague(app, role, "de") for role in Role}
        self.tokens = {role: each.prepared("English")[1]["form"] for role, each in self.people.items()}
        self.left_english: dict[str, list[str]] = {}

    def said(self, role: Role, path: str, **fields: Any) -> str:
        person = self.people[role]
        reply = person.send(f"/desk{path}", {"form": self.tokens[role], **{name.replace("__", "-"): each for name, each in fields.items()}})
        assert reply.status_code >= 400, (path, fields, reply.status_code)
        text = refused_in(person)
        typed = " ".join(str(each) for each in fields.values())
        if left := [each[0] for each in ENGLISH.finditer(re.sub(r"Spalte \w+|\S*[._]\S+", "", text)) if each[0] not in typed]:
            self.left_english[f"{path} {fields}"] = [text, *left]
        return text


def refused_in(person: Colleague) -> str:
    """What a page says of a refusal; all of it where it says nothing else."""
    box = next((each for each in person.page.iter() if each.get("id") == "refused"), None)
    return words_of(person.page.find(f".//{XHTML}main") if box is None else box)


def words_of(element: Any) -> str:
    """What is read, without what is marked as English and the forms on a page."""
    for parent in list(element.iter()):
        for each in list(parent):
            if each.get("lang") == "en" or each.tag == f"{XHTML}form":
                each.text, each[:] = "", []
    return " ".join("".join(element.itertext()).split())


@pytest.fixture
def shop(desk: Flask) -> Desk:
    return Desk(desk)


def test_the_counter_is_refused_in_german(desk: Flask, shop: Desk, demo: Json) -> None:
    client = desk.test_client()
    open_quote = made(desk, asked("MIZZEN BACK", "GATE-P"))
    at = f"/quotes/{open_quote['id']}"
    ask = next(
        each for each in open_quote["assemblies"][0]["findings"] if each["severity"] == "ask" and each["pointer"].endswith("measurement")
    )
    answer = {"tag": "MIZZEN BACK", "code": ask["code"], "pointer": ask["pointer"]}

    def said(path: str, **fields: Any) -> str:
        return shop.said(Role.COUNTER, path, **fields)

    assert "Ihre Antwort: Diese Angabe wird gebraucht." in said(f"{at}/settle", **answer)
    assert "es sind 1001" in said(f"{at}/settle", **answer, words="x" * 1001)
    assert "Danach fragt das Angebot nicht" in said(f"{at}/settle", **{**answer, "code": "nothing-known"}, words="Ja.")
    assert "hat keinen Draht NOWHERE; es hat MIZZEN BACK, GATE-P" in said(f"{at}/settle", **{**answer, "tag": "NOWHERE"}, words="Ja.")
    assert "„19 Ellen“ lässt sich nicht als Länge" in said(f"{at}/settle", **answer, words="Ja.", readings="19 ft 8 1/2 in\n19 Ellen")
    said(f"{at}/settlements/{NONE}/undo", reason="Falsch.")
    assert "Öffnen Sie die Seite neu" in said(f"{at}/accept", name="Herr Wolf")
    seen = client.get(f"/v1/quotes/{open_quote['id']}").headers["ETag"]
    assert "Wer annimmt: Diese Angabe" in said(f"{at}/accept", note="Am Telefon.", seen=seen)
    assert "Es ist noch etwas zu klären" in said(f"{at}/accept", name="Herr Wolf", note="Am Telefon.", seen=seen)
    assert "Die eigenen Worte" in said(f"{at}/accept", name="Herr Wolf", note="Am Telefon.", open="as_listed", seen=seen)
    assert "noch nicht angenommen" in said(f"{at}/hand-over", name="Herr Wolf")
    said(f"{at}/cancel", reason="Abgesagt.")
    assert "Warum: Diese Angabe wird gebraucht." in said(f"{at}/cancel")
    said(f"{at}/decline", name="Herr Wolf", seen='"0-0"')
    line = {"text__0": "Mast", "quantity__0": "2", "unit_price__0": "3", "tax__0": "Z"}
    assert "Position 1, Wie viele: " in said(f"{at}/lines", do="show", **{**line, "quantity__0": "zwei"})
    assert "Einzelpreis ohne Steuer: Schreiben Sie einen Betrag" in said(f"{at}/lines", do="show", **{**line, "unit_price__0": "drei"})
    assert "Prozentsatz bis 100" in said(f"{at}/lines", do="show", reduction="viel", reason="Winter")

    client.post(f"/v1/quotes/{open_quote['id']}/withdrawal", json={"by": "Cora"})
    seen = client.get(f"/v1/quotes/{open_quote['id']}").headers["ETag"]
    assert "zurückgezogen" in said(f"{at}/accept", name="Herr Wolf", note="Am Telefon.", seen=seen)

    done = accepted(client, made(desk, asked("GATE-P")))
    seen = client.get(f"/v1/quotes/{done['id']}").headers["ETag"]
    for step in ("accept", "decline", "withdraw"):
        assert "angenommen" in said(f"/quotes/{done['id']}/{step}", name="Herr Wolf", note="Ja.", reason="Nein.", seen=seen)
    assert now(desk, done)["status"] == "accepted"
    assert shop.left_english == {}, shop.left_english


def test_fleets_are_refused_in_german(desk: Flask, shop: Desk) -> None:
    def sent(*files: tuple[bytes, str]) -> str:
        return shop.said(Role.COUNTER, "/fleets", boats=[(BytesIO(body), name) for body, name in files])

    sent()
    sent((b"", "boote.csv"))
    assert "Spalte diametre" in sent((b"custom_id,tag,role,wire.construction,diametre\nA,CAP-P,cap,1x19,5\n", "boote.csv"))
    sent((b"\x00\x01\x02\x00", "boote.csv"))
    assert "Zwei Dateien dieses Namens" in sent((b"a,b\n", "boote.csv"), (b"a,b\n", "Boote.csv"))
    header = b"custom_id,tag,role,wire.construction,wire.diameter,wire.material,upper.terminal,lower.terminal,measurement.readings.1\n"
    counter = shop.people[Role.COUNTER]
    reply = counter.send(
        "/desk/fleets",
        {
            "form": shop.tokens[Role.COUNTER],
            "boats": [(BytesIO(header + b"HULL-1,CAP-P,cap_shroud,1x19,5 mm,316,fork,fork,neun\n"), "b.csv")],
        },
    )
    assert reply.status_code == 200, counter.text
    worked(desk, desk.extensions["quotes"])
    counter.go(counter.at)
    cell = next(each for each in counter.page.iter(f"{XHTML}ul") if "neun" in "".join(each.itertext()))
    assert "„neun“" in words_of(cell)
    assert [each for each in ENGLISH.findall(words_of(cell)) if each not in header.decode()] == []
    assert shop.left_english == {}, shop.left_english


def test_the_bench_is_refused_in_german(desk: Flask, shop: Desk, demo: Json) -> None:
    client = desk.test_client()

    def said(path: str, **fields: Any) -> str:
        return shop.said(Role.BENCH, path, **fields)

    quote, early = quoted(desk, demo, "Wagtail", 2), made(desk, asked("MIZZEN BACK"))
    tag = quote["assemblies"][0]["tag"]
    said("/bench/plans")
    said("/bench/plans", **{f"quote-{NONE}": "on"})
    said("/bench/plans", **{"quote-none": "on"})
    client.post(f"/v1/quotes/{early['id']}/withdrawal", json={"by": "Cora"})
    assert f"{early['number']}, Fassung 1: zurückgezogen. Lassen Sie sie weg." in said("/bench/plans", **{f"quote-{early['id']}": "on"})
    first, second = (client.post("/v1/cutting-plans", json={"quotes": [quote["id"]]}).json["id"] for _ in range(2))
    assert "nicht entnommen" in said(f"/bench/plans/{first}/undo")
    assert client.post(f"/v1/cutting-plans/{first}/take", json={"by": "Benno"}).status_code == 200
    said(f"/bench/plans/{first}/take")
    assert f"{quote['number']}, {tag}: 2 von 2 sind schon abgelängt, und dieser Plan längt 2 ab." in said(f"/bench/plans/{second}/take")
    built = f"/bench/built/{quote['id']}/{tag}"
    assert "Fertige Länge, wie gemessen: „neun Meter“" in said(built, length="neun Meter", unit="mm")
    assert "Vor einer Länge steht weder Plus noch Minus" in said(built, length="-9 mm")
    assert "Fertige Länge, wie gemessen: " in said(built, unit="mm")
    assert "ganze Zahl von 1 bis 999" in said(built, length="9098.8 mm", piece="zwei")
    assert "Schaft, oberes Ende" in said(built, length="9098.8 mm", upper_shank="dick")
    row = {
        "id": "R-900001",
        "wire": quote["assemblies"][0]["wire"]["sku"],
        "kind": "offcut",
        "length": "5 m",
        "count": "1",
        "source": "gezählt",
        "price": "2",
    }
    assert "Länge: „5“ hat keine Einheit" in said("/stock/count", **{**row, "length": "5"})
    assert "Wie viele gleiche: Schreiben Sie eine ganze Zahl" in said("/stock/count", **{**row, "count": "viele"})
    assert "Wählen Sie einen aus der Liste" in said("/stock/count", **{**row, "wire": "keiner"})
    said("/stock/count", **{**row, "price": "zwei"})
    said("/stock/count", **{**row, "kind": "rest"})
    assert "Woher es kommt" in said("/stock/count", **{**row, "source": ""})
    assert "Das Lager hat sich inzwischen" in said("/stock/count", **row, seen="0")
    said("/stock/file", others="kept")
    said("/stock/file", others="kept", file=(BytesIO(b"\x00\x00\x01"), "lager.csv"))
    assert "Spalte" in said("/stock/file", others="kept", file=(BytesIO(b"id,wire,kind,length\nR-1,W,offcut,lang\n"), "lager.csv"))
    said("/stock/file", file=(BytesIO(b"id\n"), "lager.csv"))
    assert shop.left_english == {}, shop.left_english


def test_the_owner_is_refused_in_german(desk: Flask, shop: Desk) -> None:
    owner = shop.people[Role.OWNER]
    shop.said(Role.OWNER, f"/people/{owner.person.id}/link")
    for asked_for in ("from=2026-12-01&to=2026-01-01", "from=yesterday&to=2026-01-01"):
        owner.go(f"/desk/figures?{asked_for}")
        assert owner.reply.status_code == 422
        assert ENGLISH.findall(refused_in(owner)) == []
    assert shop.left_english == {}, shop.left_english


@pytest.mark.parametrize(
    ("told", "values"),
    [
        ("'9' has no unit: write '9 mm'", {"text": "9", "first": "9 mm"}),
        ("'a' has no unit: write 'b'' has no unit: write 'c'", {"text": "a", "first": "b'' has no unit: write 'c"}),
        ("'9' has a unit: write '9 mm'", None),
        ("'9' has no unit: write '9 mm' again", None),
    ],
)
def test_the_values_of_a_sentence_are_found(told: str, values: dict[str, str] | None) -> None:
    assert values_in("'%(text)s' has no unit: write '%(first)s'", told) == values


def test_what_was_typed_before_the_session_ended_is_shown_by_the_names_of_its_fields(desk: Flask) -> None:
    counter = Colleague(desk, Role.COUNTER, "de")
    counter.go(f"/desk/quotes/{made(desk, asked('MIZZEN BACK'))['id']}")
    to, fields = counter.prepared("Dies klären", words="Gefragt: stimmt.")
    counter.client.delete_cookie("desk", path="/desk")
    assert counter.send(to, fields).status_code == 401
    assert "Ihre Antwort" in counter.text
    assert "Gefragt: stimmt." in counter.text
    assert fields["code"] not in counter.text  # what the page sent of itself


def test_every_status_has_its_words_at_the_desk() -> None:
    from service.desk.fault_words import _BY_CODE

    assert REASONS.keys() <= _BY_CODE.keys()

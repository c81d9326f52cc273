"""PDFs over HTTP: what they say, what they are tagged with, and what is attached."""

from __future__ import annotations

import io
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from pypdf import PdfReader
from pypdf.generic import IndirectObject

from service.demo import demo_names, demo_request
from service.documents import glyphs
from tests.counts import some_of


@pytest.fixture
def at(client: FlaskClient, demo: dict[str, Any]) -> str:
    return str(client.post("/v1/quotes", json=demo).headers["Location"])


def read(answer: Any) -> PdfReader:
    assert (answer.status_code, answer.mimetype) == (200, "application/pdf"), answer.text
    return PdfReader(io.BytesIO(answer.data))


def words_of(reader: PdfReader) -> str:
    return " ".join(" ".join(page.extract_text() for page in reader.pages).replace("\u200b", "").split())


def test_a_pdf_is_there_at_once_and_not_made_again_for_who_has_it(client: FlaskClient, at: str) -> None:
    first = client.get(f"{at}?format=pdf", headers={"Prefer": "respond-async"})
    assert (first.status_code, first.data[:5]) == (200, b"%PDF-")
    assert first.headers["Content-Disposition"] == 'inline; filename="Q-2026-000001-1-en.pdf"'
    again = client.get(f"{at}?format=pdf", headers={"If-None-Match": first.headers["ETag"]})
    assert (again.status_code, again.data) == (304, b"")
    assert client.get(f"{at}?format=pdf").data == first.data
    head = client.head(f"{at}?format=pdf")
    assert (head.status_code, head.headers["Content-Length"]) == (200, str(len(first.data)))
    client.post(f"{at}/withdrawal", json={})
    assert client.get(f"{at}?format=pdf").headers["ETag"] != first.headers["ETag"]


@pytest.mark.parametrize("name", some_of(demo_names(), 1))
def test_it_is_tagged_by_pdf_ua(client: FlaskClient, name: str) -> None:
    """ISO 14289-1: 5 (identification), 7.1 (tagged, title shown), 7.2 (language), 7.3 (figures have alternatives), 7.5 (header cells)."""
    made = client.post("/v1/quotes", data=demo_request(name), content_type="application/json")
    reader = read(client.get(f"{made.headers['Location']}?format=pdf&lang=de"))
    root = reader.trailer["/Root"]
    assert "<pdfuaid:part>1</pdfuaid:part>" in root["/Metadata"].get_data().decode()
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "de"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert reader.metadata is not None
    assert reader.metadata.title == f"Angebot {made.json['number']}"
    tags = list(elements(root["/StructTreeRoot"]))
    kinds = [each["/S"] for each in tags]
    assert {"/H1", "/H2", "/H3", "/P", "/L", "/Table", "/TH", "/TD"} <= set(kinds)
    assert kinds.count("/H1") == 1
    figures = [each for each in tags if each["/S"] == "/Figure"]
    assert len(figures) >= sum(each["readiness"] != "hold" for each in made.json["assemblies"])
    assert all(each.get("/Alt") for each in figures)


@pytest.mark.parametrize(("path", "said"), some_of([("assemblies/CAP-P/drawing", "Topwant, Backbord"), ("rig-sheet", "Rigg: ")], 1))
def test_a_drawing_is_served_on_paper(client: FlaskClient, at: str, path: str, said: str) -> None:
    answer = client.get(f"{at}/{path}?format=pdf&lang=de")
    assert said in words_of(read(answer))
    named = "rig" if path == "rig-sheet" else "CAP-P"
    assert answer.headers["Content-Disposition"] == f'inline; filename="Q-2026-000001-1-{named}-de.pdf"'
    preferred = {"Accept": "application/pdf"}
    assert client.get(f"{at}/{path}?lang=de", headers=preferred).data == answer.data
    assert client.get(f"{at}/{path}?lang=de", headers={**preferred, "If-None-Match": answer.headers["ETag"]}).status_code == 304
    drawn = client.get(f"{at}/{path}?lang=de")
    assert (drawn.mimetype, drawn.headers["ETag"] == answer.headers["ETag"]) == ("image/svg+xml", False)
    assert client.get(f"{at}/{path}?format=csv").status_code == 406


def elements(node: Any) -> Any:
    """Every structure element below a node (ISO 32000-1, 14.7.2)."""
    node = node.get_object() if isinstance(node, IndirectObject) else node
    kids = node.get("/K", []) if hasattr(node, "get") else []
    for kid in kids if isinstance(kids, list) else [kids]:
        found = kid.get_object() if isinstance(kid, IndirectObject) else kid
        if hasattr(found, "get") and "/S" in found:
            yield found
            yield from elements(found)


def test_for_archives_the_ubl_quotation_is_attached_as_it_is_served(client: FlaskClient, at: str) -> None:
    """ISO 19005-3 (PDF/A-3), 6.8: an associated file, whose relationship is said; level A."""
    answer = client.get(f"{at}?format=pdf&attached=ubl")
    reader = read(answer)
    assert answer.headers["ETag"] != client.get(f"{at}?format=pdf").headers["ETag"]
    assert reader.attachments == {"quotation-ubl.xml": [client.get(f"{at}?format=ubl").data]}
    root = reader.trailer["/Root"]
    said = root["/Metadata"].get_data().decode()
    assert ("<pdfaid:part>3</pdfaid:part>" in said, "<pdfaid:conformance>A</pdfaid:conformance>" in said) == (True, True)
    (file,) = (each.get_object() for each in root["/AF"])
    assert (file["/AFRelationship"], file["/EF"]["/F"].get_object()["/Subtype"]) == ("/Alternative", "/application/xml")
    assert not read(client.get(f"{at}?format=pdf")).attachments
    assert client.get(f"{at}?format=pdf&attached=zip").json["errors"][0]["code"] == "unknown_attachment"


def test_a_large_pdf_is_made_where_it_can_be_ended(
    app: Flask, client: FlaskClient, demo: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A PDF of more wires than a request's own thread makes is handed over, as every other large computation."""
    from service.computing import asking

    asked: list[bool] = []
    monkeypatch.setattr(asking, "apart_if", lambda heavy, what, *given: (asked.append(heavy), what(None, *given))[1])
    small = client.post("/v1/quotes", json={**demo, "assemblies": demo["assemblies"][:1]}).headers["Location"]
    many = [{**demo["assemblies"][0], "tag": f"SHROUD-{number}", "note": f"{number * 7919 % 9973}" * 150} for number in range(60)]
    large = client.post("/v1/quotes", json={**demo, "assemblies": many}).headers["Location"]
    asked.clear()
    client.get(f"{small}?format=pdf")
    client.get(f"{large}?format=pdf")
    assert asked == [False, True]


TYPST = '#panic("run") $x$ #read("/etc/hostname") #import "@preview/x:1.0.0" = head *b* _i_ `raw` @ref <label> // note\n#let a = 1'


def test_a_text_is_shown_and_not_run(client: FlaskClient, demo: dict[str, Any]) -> None:
    name = TYPST.partition("\n")[0][:110]
    asked = {**demo, "note": TYPST, "boat": {**demo["boat"], "name": name}, "assemblies": demo["assemblies"][:1]}
    made = client.post("/v1/quotes", json=asked)
    said = words_of(read(client.get(f"{made.headers['Location']}?format=pdf")))
    assert " ".join(TYPST.split()) in said
    assert said.count(name) >= 3


def test_what_the_fonts_lack_is_named_or_a_box_and_everything_else_is_whole() -> None:
    """The names of the symbols: The Unicode Standard, character names of U+26F5 and U+1F6A4."""
    assert glyphs.shown("⛵ Dunlin 🚤") == "[sailboat] Dunlin [speedboat]"
    assert glyphs.shown("ᚠ") == glyphs.BOX
    whole = "Œuvre Żółw Ωμέγα Шлюп مركب ספינה नौका เรือ 帆走 ヨット 요트 ±½″″ → ▯"
    assert glyphs.shown(whole) == whole
    assert glyphs.shown({"a": ["x\u202ey\x00\ud800"], "b": 1}) == {"a": ["xy?"], "b": 1}
    broken = glyphs.shown("W" * 10_000)
    assert max(len(each) for each in broken.split("\u200b")) <= 8
    assert broken.replace("\u200b", "") == "W" * 10_000


def test_what_is_covered_is_what_the_fonts_have() -> None:
    """By another library than the one that sets papers."""
    from service.documents.fonts.__main__ import covered

    assert covered() == glyphs.COVERED.read_text(encoding="ascii")

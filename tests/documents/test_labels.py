"""Labels for the tags: one for each piece, with the quote's own figures where it may be built, and no length where it may not."""

from __future__ import annotations

import io
from typing import Any

import pytest
import segno
from pypdf import PdfReader

from service.documents.labels import content
from service.documents.labels import paper as papers
from service.documents.pdf import words_of
from service.documents.speech import speech_in
from service.wording import messages
from tests.counts import some_of
from tests.documents import made
from tests.documents.quotes import case, demo
from tests.documents.test_bench_sheet import CHECKSUM, quoted, read_once

paper = made.of(papers.paper)
MM = 72 / 25.4  # points of a PDF


def labels(document: dict[str, Any], language: str = "en", *given: Any) -> list[content.Label]:
    return list(made.of(content.labels)(document, speech_in(language, document["display_units"]), *given))


def close(text: str) -> str:
    return "".join(text.replace("\u200b", "").split())


def texts(pdf: bytes) -> list[str]:
    return [close(page.extract_text()) for page in PdfReader(io.BytesIO(pdf)).pages]


@pytest.mark.parametrize(("place", "language"), some_of([(0, "en"), (1, "en"), (0, "de"), (1, "de")], 2))
def test_on_a_roll_each_piece_has_a_page_with_the_figures_of_its_assembly(place: int, language: str) -> None:
    document = {**demo(place), "checksum": CHECKSUM}
    pages = iter(texts(paper(document, language, "roll")))
    said = speech_in(language, document["display_units"])
    for assembly in document["assemblies"]:
        for piece in range(1, assembly["quantity"] + 1):
            page = next(pages)
            assert close(assembly["tag"]) in page
            assert close(document["boat"]["name"]) in page
            assert close(document["seller"]["name"]) in page
            assert document["number"] in page
            for length in (assembly["cut_length"], assembly["target_length"]):
                assert length is None or close(said.local(length["text"])) in page
            if assembly["quantity"] > 1:
                assert close({"en": f"{piece} of {assembly['quantity']}", "de": f"{piece} von {assembly['quantity']}"}[language]) in page
    assert next(pages, None) is None


@pytest.mark.parametrize(("place", "paper_size"), [(0, (215.9, 279.4)), (1, (210.0, 297.0))])  # Letter (ANSI/ASME Y14.1), A4 (ISO 216)
def test_a_sheet_is_a4_or_letter_and_a_roll_has_its_own_size(place: int, paper_size: tuple[float, float]) -> None:
    document = {**demo(place), "checksum": CHECKSUM}
    for on, size in (("sheet", paper_size), ("roll", (70.0, 36.0))):
        for page in PdfReader(io.BytesIO(paper(document, "en", on))).pages:
            assert (float(page.mediabox.width) / MM, float(page.mediabox.height) / MM) == pytest.approx(size, abs=0.05)


def test_a_sheet_has_twenty_four() -> None:
    """3 across, 8 down: 49 labels are on 3 sheets."""
    document = quoted()
    document["assemblies"] = document["assemblies"][:1]
    document["assemblies"][0]["quantity"] = 49
    pages = texts(paper(document))
    assert [page.count("Q-2026-000042rev1") for page in pages] == [24, 24, 1]
    assert [text for text in ("1of49", "24of49", "25of49", "49of49") if text in "".join(pages)] == ["1of49", "24of49", "25of49", "49of49"]
    assert "25of49" in pages[1]


def test_what_may_not_be_built_has_no_length_and_says_so() -> None:
    document = read_once("FORESTAY")
    found = {each.tag: each for each in labels(document)}
    assert [tag for tag, each in found.items() if not each.cut] == ["FORESTAY"]
    assert found["FORESTAY"].lengths == ()
    pages = dict(zip([each.tag for each in labels(document)], texts(paper(document, "en", "roll")), strict=False))
    (forestay,) = (each for each in document["assemblies"] if each["tag"] == "FORESTAY")
    assert "DONOTCUT" in pages["FORESTAY"]
    assert all(close(forestay[name]["text"]) not in pages["FORESTAY"] for name in ("cut_length", "target_length"))
    assert "DONOTCUT" not in pages["CAP-P"]


@pytest.mark.parametrize("status", ["withdrawn", "superseded", "expired", "cancelled", "declined"])
def test_of_a_quote_that_ended_nothing_has_a_length(status: str) -> None:
    assert not any(each.cut or each.lengths for each in labels(quoted(status=status)))


def test_the_code_is_the_quotes_address_without_a_token_or_number_revision_and_tag() -> None:
    document = quoted()
    at = f"https://rig.example/v1/quotes/{document['id']}"
    codes = {each.tag: each.code for each in labels(document, "en", "https://rig.example")}
    assert codes == {each["tag"]: f"{at}#{each['tag']}" for each in document["assemblies"]}  # these tags need no percent-encoding
    assert labels(document)[0].code == "Q-2026-000042/1/CAP-P"
    document["assemblies"][0]["tag"], document["assemblies"][1]["tag"] = "A/B #1", "帆" * 40
    assert [each.code for each in labels(document, "en", "https://rig.example")][:2] == [f"{at}#A%2FB%20%231", at]


def test_the_code_drawn_is_of_that_text(monkeypatch: pytest.MonkeyPatch) -> None:
    drawn: list[str] = []
    make = segno.make
    monkeypatch.setattr(segno, "make", lambda text, **given: drawn.append(text) or make(text, **given))
    paper(quoted(), "en", "roll", None, "PENNANT")
    assert drawn == ["Q-2026-000042/1/PENNANT"]


def test_one_assembly_alone() -> None:
    assert [(each.tag, each.piece) for each in labels(quoted(), "en", None, "PENNANT")] == [("PENNANT", "1 of 2"), ("PENNANT", "2 of 2")]


@pytest.mark.parametrize(
    "text",
    some_of(
        ["W" * 40, "x" * 40, "طاقم الأشرعة طاقم الأشرعة طاقم", "צוות " * 8, "帆走学校" * 10, "⛵" * 40, "A-" * 20, "e" + "\u0301" * 39], 1
    ),
    ids=ascii,
)
def test_no_tag_or_name_makes_a_label_longer_than_it_is(text: str) -> None:
    document = quoted(boat={**quoted()["boat"], "name": text * 3}, seller={"name": text * 5})
    for each in document["assemblies"]:
        each["tag"] = text
    assert len(PdfReader(io.BytesIO(paper(document, "en", "roll"))).pages) == 13
    sheet = texts(paper(document))
    assert len(sheet) == 1
    if text.isascii():
        assert sheet[0].count(text) >= 13


@pytest.mark.parametrize(
    "name", some_of(["none ready", "8 assemblies, one on hold", "120 assemblies", "first release", "nameless, erased, withdrawn"], 2)
)
def test_every_case_has_a_label_for_each_piece_and_equal_quotes_equal_bytes(name: str) -> None:
    document = {"checksum": CHECKSUM, **case(name)}
    pdf = paper(document)
    pieces = sum(each["quantity"] for each in document["assemblies"])
    assert len(texts(pdf)) == -(-pieces // 24)
    assert sum(page.count(document["number"]) for page in texts(pdf)) == pieces
    assert paper(document) == pdf


def test_german_has_every_word_of_the_template() -> None:
    said = messages("de")
    assert [text for text in words_of(papers.TEMPLATE) if said.gettext(text) == text] == []

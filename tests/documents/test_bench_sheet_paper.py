"""The bench sheet on paper: a page for each assembly with all of its figures, whatever the shop and its customers wrote."""

from __future__ import annotations

import io
from typing import Any

import pytest
from pypdf import PdfReader

from service.documents.bench_sheet import document as sheets
from service.documents.bench_sheet import paper as papers
from service.documents.pdf import words_of
from service.wording import messages
from tests.counts import THOROUGH, some, some_of
from tests.documents import made
from tests.documents.quotes import CASES, case, demo
from tests.documents.test_bench_sheet import CHECKSUM, KNOWN, lengths, planned, quoted, read_once

bench_sheet, paper = made.of(sheets.bench_sheet), made.of(papers.paper)
Json = dict[str, Any]


FEW = some(12, 2)


def few(**changes: Any) -> Json:
    """The boat with some of its wires; all of them in a thorough run."""
    document = quoted(**changes)
    return {**document, "assemblies": document["assemblies"][:FEW]}


def read(pdf: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(pdf))


def close(text: str) -> str:
    """Without spaces and places to break a word: lines may break anywhere."""
    return "".join(text.replace("\u200b", "").split())


def texts(pdf: bytes) -> list[str]:
    return [close(page.extract_text()) for page in read(pdf).pages]


def flat(outline: Any) -> list[Any]:
    return [found for each in outline for found in (flat(each) if isinstance(each, list) else [each])]


def pages_of(pdf: bytes, document: Json) -> list[int]:
    """The page on which each assembly's tag is a heading, in order."""
    reader, found = read(pdf), []
    destinations = iter([(close(str(each.title)), reader.get_destination_page_number(each)) for each in flat(reader.outline)])
    for assembly in document["assemblies"]:
        found.append(next(page for title, page in destinations if title == close(assembly["tag"])))
    return found


@pytest.mark.parametrize(("place", "language"), some_of([(1, "en"), (0, "en"), (2, "en"), (0, "de"), (1, "de"), (2, "de")], 1))
def test_a_demo_boat_has_an_overview_and_one_page_for_each_assembly(place: int, language: str) -> None:
    document = {**demo(place), "checksum": CHECKSUM}
    pdf = paper(document, planned(document), language)
    assert pages_of(pdf, document) == list(range(1, len(document["assemblies"]) + 1))
    assert len(read(pdf).pages) == 1 + len(document["assemblies"])


@pytest.mark.parametrize(("place", "language"), some_of([(1, "de"), (0, "en"), (1, "en"), (0, "de")], 1))
def test_each_page_has_every_figure_of_its_assembly(place: int, language: str) -> None:
    document = {**demo(place), "checksum": CHECKSUM}
    del document["assemblies"][some(12, 3) :]
    known = planned(document)
    sheet, (overview, *pages) = bench_sheet(document, known, language), texts(paper(document, known, language))
    for assembly, page in zip(sheet["assemblies"], pages, strict=True):
        build = assembly["build"]
        for length in lengths(build):
            assert close(length["metric"]) in page
            assert close(length["imperial"]) in page
        screw, proof = build["turnbuckle"], build["proof"]
        said = [assembly["tag"], assembly["name"], *assembly["tag_text"], build["finished"]["says"], proof["says"], proof["lbf"] or ""]
        said += [screw["says"], screw["turns"], screw["counted"], *(one["turns"]["says"] for one in screw["screws"])] if screw else []
        said += [note["message"] for note in assembly["notes"]]
        said += [part["name"] for end in build["ends"] for part in (*end["with"], *([end["fitting"]] if end["fitting"] else []))]
        for text in said:
            assert close(text) in page, text
    for wire in sheet["cutting_list"]:
        for use in wire["objects"]:
            for cut in use["cuts"]:
                assert all(close(cut["length"][unit]) in overview for unit in ("metric", "imperial"))


def test_what_must_not_be_cut_has_a_page_with_reasons_and_no_figure() -> None:
    document = read_once("FORESTAY", "HALYARD")
    document["assemblies"] = [each for each in document["assemblies"] if THOROUGH or each["tag"] in ("CAP-P", "FORESTAY", "HALYARD")]
    known = planned({**document, "current_readiness": {each["tag"]: "ready_to_cut" for each in document["assemblies"]}})
    pdf = paper(document, known)
    pages, sheet = texts(pdf), bench_sheet(document, known)
    assert len(pages) == some(13, 4)
    for place, assembly in enumerate(document["assemblies"], 1):
        forbidden = assembly["readiness"] != "ready_to_cut"
        assert ("DONOTCUT" in pages[place]) is forbidden
        if forbidden:
            assert all(close(assembly[name][unit]) not in "".join(pages) for name in ("cut_length",) for unit in ("mm", "text"))
            assert close(assembly["target_length"]["text"]) not in pages[place]
            for reason in sheet["assemblies"][place - 1]["do_not_cut"]:
                assert close(reason["message"]) in pages[place]


def test_a_quote_that_ended_forbids_every_page() -> None:
    pages = texts(paper(quoted(status="withdrawn"), KNOWN))
    assert all("DONOTCUT" in page for page in pages)
    assert not any(close(each["cut_length"]["text"]) in page for each in quoted()["assemblies"] for page in pages)


@pytest.mark.long
@pytest.mark.parametrize("place", some_of([1, 0], 1))
def test_printed_on_two_sides_no_sheet_has_two_assemblies(place: int) -> None:
    document = {**demo(place), "checksum": CHECKSUM}
    pdf = paper(document, planned(document), "en", "two")
    starts, count = pages_of(pdf, document), len(read(pdf).pages)
    assert all(start % 2 == 0 for start in starts)  # counted from 0: the fronts
    blank = [page for page, text in enumerate(texts(pdf)) if "leftblank" in text]
    assert blank == [page for page in range(1, count) if page % 2]


def test_on_one_side_nothing_is_blank() -> None:
    assert not any("leftblank" in page for page in texts(paper(few(), KNOWN)))


@pytest.mark.parametrize(
    "name",
    some_of(["nameless, erased, withdrawn", "8 assemblies, one on hold", "120 assemblies", "revised", "first release", "none ready"], 2),
)
def test_every_case_has_a_page_for_each_assembly(name: str) -> None:
    assert name in CASES
    document = {"checksum": CHECKSUM, **case(name)}
    pdf = paper(document, KNOWN)
    starts = pages_of(pdf, document)
    assert starts == list(range(starts[0], starts[0] + len(document["assemblies"])))
    assert len(read(pdf).pages) == starts[-1] + 1
    assert paper(document, KNOWN) == pdf


@pytest.mark.parametrize("quantity", some_of([7, 2, 999], 1))
def test_many_alike_still_have_one_page_and_say_how_to_go_on(quantity: int) -> None:
    document = few()
    for each in document["assemblies"]:
        each["quantity"] = quantity
    pdf = paper(document, KNOWN)
    pages = texts(pdf)
    assert len(pages) == 1 + FEW
    for page in pages[1:]:
        rows = {2: (2,), 7: (6, 3, 1), 999: (6, 3, 1)}[quantity]
        told = [
            f"Piece{quantity}:copy" if each + 1 == quantity else f"Pieces{each + 1}to{quantity}:copy" for each in rows if each < quantity
        ]
        assert sum(each in page for each in told) == (quantity > 2)


HOSTILE = (
    "x" * 10000,
    "long name " * 1000,
    "طاقم الأشرعة " * 9,
    "צוות" * 30,
    "帆走学校" * 30,
    "⛵🧵👩‍🔧" * 24,
    "e" + "\u0301" * 40,
    "two\nlines\tand \x00",
)


@pytest.mark.parametrize("text", some_of(HOSTILE, 2), ids=lambda text: ascii(text[:12]))
def test_no_name_takes_a_page_from_an_assembly(text: str) -> None:
    document = few(boat={**quoted()["boat"], "name": text}, seller={"name": text})
    pdf = paper(document, KNOWN)
    starts = pages_of(pdf, document)
    assert starts == list(range(starts[0], starts[0] + FEW))
    assert len(read(pdf).pages) == starts[-1] + 1


def test_a_page_that_cannot_hold_its_text_goes_on_with_the_drawing() -> None:
    document = few()
    document["assemblies"][0]["note"] = "to be read " * 700
    pdf = paper(document, KNOWN)
    starts = pages_of(pdf, document)
    assert starts[1] - starts[0] == 2
    two = paper(document, KNOWN, "en", "two")
    assert [start % 2 for start in pages_of(two, document)] == [0] * FEW
    assert "leftblank" not in texts(two)[pages_of(two, document)[0] + 1]


def test_german_has_every_word_of_the_template() -> None:
    said = messages("de")
    same = {"%(person)s, %(day)s (%(code)s)", "Toggle"}
    assert [text for text in words_of(papers.TEMPLATE) if said.gettext(text) == text and text not in same] == []


def test_the_customers_words_and_what_was_checked_stand_on_the_page() -> None:
    document = few()
    document["note"] = "Launch on Friday"
    document["assemblies"][0]["note"] = "old wire chafed at the spreader"
    overview, cap, *_ = texts(paper(document, KNOWN))
    assert "LaunchonFriday" in overview
    assert "oldwirechafedatthespreader" in cap


@pytest.mark.long
def test_one_assembly_alone_is_one_page_without_the_overview() -> None:
    document = {**demo(1), "checksum": CHECKSUM}
    (alone,) = texts(paper(document, planned(document), only=4))
    whole = texts(paper(document, planned(document)))
    assert close(document["assemblies"][4]["tag"]) in alone
    assert alone.replace("1/1", "") == whole[5].replace("6/6", "")


def test_the_shops_own_work_stands_on_the_page_of_its_assembly() -> None:
    document = {**case("work of the shop's own"), "checksum": CHECKSUM}
    del document["assemblies"][FEW:]
    pdf = paper(document, planned(document), "en")
    first, second = texts(pdf)[1:3]
    assert len(read(pdf).pages) == 1 + len(document["assemblies"])
    assert close("Also to be done on each piece") in first
    assert close("2 × Wire-to-rope tail splice") in first
    assert close("Wire-to-rope tail splice") not in second

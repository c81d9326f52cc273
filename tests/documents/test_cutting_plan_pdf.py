"""The paper of a cutting plan read back: what is cut, in order, with its lengths and tags, and nothing that only machines read."""

import io
import re
from decimal import Decimal
from functools import cache

import pytest
from pypdf import PdfReader

from service.documents.cutting_plan import paper as papers
from service.documents.cutting_plan import words
from service.documents.cutting_plan.paper import paper
from service.documents.pdf import words_of
from service.documents.speech import speech_in
from service.wording import messages
from tests.counts import some_of

from . import plans
from .test_cutting_plan_svg import NASTY, lively, nasty

MACHINES = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-|/remnant|#\d|P-7|\btable\b|0\.012|WIRE-1X19|longer_than")


def read(document, *given):
    return PdfReader(io.BytesIO(paper(document, *given)))


def words_in(made):
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(made)).pages).split())


def said(document, *given):
    return words_in(paper(document, *given))


@cache
def said_of_lively(language="en"):
    return said(lively(), language)


def boats(count, quotes=1):
    """Pieces of 5 m and longer, 20 off each spool."""
    uses = []
    for at in range(count // 20):
        uses.append(plans.use(f"SP#{at + 1}", 150000, [(f"T-{20 * at + each}", f"Tern {each % 3}", 5000 + each) for each in range(20)]))
        for each, cut in enumerate(uses[-1]["cuts"]):
            cut["quote"] = f"Q-2026-00000{each % quotes}"
    return plans.plan([plans.wire(uses)])


def test_every_piece_stands_once_in_cutting_order_with_its_length_in_both_units_and_its_marks():
    shown = said_of_lively()
    at = 0
    for wire in lively()["wires"]:
        for use in wire["uses"]:
            for cut in use["cuts"]:
                row = re.compile(rf"\b{cut['step']} {cut['label']} \w+ {re.escape(cut['length']['text'])} ")
                found = row.search(shown, at)
                assert found, cut
                at = found.end()
    # 9568 mm are 376.693 in, 31 ft 4 11/16 in to a 32nd; with the cut of 3 mm the next begins at 9571 mm, 31 ft 4 13/16 in
    assert "5 CAP-S Kittiwake 31 ft 4 11/16 in 9568.0 mm 31 ft 4 13/16 in 62 ft 9 1/2 in" in shown


def test_nothing_of_machines_is_on_it():
    document = lively()
    note = {"code": "remnant_not_worth_keeping", "message": "", "subject": "SP-300#1"}
    values = {"object": {"kind": "text", "text": "SP-300#1"}, "remnant": {"kind": "length", "mm": "1600.0"}}
    document["wires"][0]["notes"] = [{**note, "values": values}]
    shown = said(document)
    assert "The remnant of SP-300, 5 ft 3 in" in shown  # 1600 mm are 62.99 in
    assert not MACHINES.search(shown)


def test_objects_of_one_article_are_numbered_as_they_are_taken_up():
    shown = said(boats(60))
    assert [shown.index(f"New spool SP no. {each}, 492 ft 1 1/2 in (150000.0 mm)") for each in (1, 2, 3)] == sorted(
        shown.index(f"New spool SP no. {each},") for each in (1, 2, 3)
    )
    assert "Offcut OFF-17, 41 ft 0 1/8 in (12500.0 mm)" in said_of_lively()


def test_a_remnant_says_where_it_goes_and_bears_the_tag_it_got():
    uses = [
        plans.use("A", 10000, [("T-1", None, 5000)]),
        plans.use("B", 10000, [("T-2", None, 9000)], kept=False),
        plans.use("C", 5003, [("T-3", None, 5000)]),
    ]
    document = plans.plan([plans.wire(uses)])
    shown = said(document, "en", {"A/remnant": "R-000007"})
    assert "back to the shelf, with this tag on it: R-000007" in shown
    assert "R-0" not in said(document)
    assert "(997.0 mm): scrap." in shown  # 10000 less 9000 and a cut of 3
    assert "Nothing is left of it." in shown
    uses[1]["remnant_goes_to"] = "customer"
    assert "goes to the customer, who paid for it." in said(plans.plan([plans.wire(uses)]))


def test_whose_piece_it_is_stands_where_there_are_several():
    assert "T-1 Tern 1, Q-2026-000001 16 ft" in said(boats(20, quotes=2))
    assert "T-1 Tern 1 16 ft" in said(boats(20))
    alone = plans.plan([plans.wire([plans.use("A", 10000, [("T-1", "Gull", 5000)])])])
    assert "T-1 16 ft" in said(alone)


def test_one_sentence_says_how_good_the_plan_is():
    use = plans.use("A", 10000, [("T-1", None, 5000)])
    proven = said(plans.plan([plans.wire([use])], proven=True))
    assert "Proven to be the cheapest way to cut this." in proven
    near = plans.plan([plans.wire([use], proven=False)])
    assert "At most $0.30 dearer than the cheapest possible way." in said(near)
    assert "At most $0.01 dearer" in said({**near, "gap": "0.000002"})  # the smallest amount of the currency, ISO 4217
    assert "Höchstens 0,30 $ teurer" in said(near, "de").replace("\xa0", " ")


def test_a_plan_that_cuts_nothing_says_why():
    left = [{"label": "CAP-P", "quote": "Q-2026-000042", "quantity": 1, "reason": "not_ready"}]
    shown = said(plans.plan([], left_out=left))
    assert "Nothing is cut by this plan." in shown
    assert "1 piece of CAP-P, quote Q-2026-000042: not ready to cut, so not planned." in shown
    none = said(plans.plan([plans.wire([], proven=False, unplanned=[plans.unplanned(reason="no_stock")])]))
    assert "Nothing of this wire is cut. Not planned: • 2 × LL-1 (Kittiwake) of 1312 ft 4 1/32 in. There is no stock of this wire" in none
    assert "cheapest" not in none


def test_two_hundred_pieces_come_out_on_sheets_that_repeat_what_is_cut_from():
    pages = [page.extract_text() for page in read(boats(200)).pages]
    assert len(pages) > 2
    assert re.findall(r"\bT-(\d+)\b", " ".join(pages)) == [str(each) for each in range(200)]
    assert all("Done" in page and "New spool SP no." in page for page in pages)


def test_what_is_too_much_for_paper_is_left_to_the_bench_list(monkeypatch):
    monkeypatch.setattr(papers, "MOST_CUTS", 30)
    shown = said(boats(60))
    assert "40 more cuts are not on this paper: the bench list has every cut." in shown
    assert "T-19" in shown
    assert "T-20" not in shown


@pytest.mark.parametrize(("units", "millimetres"), [("metric", (210, 297)), ("imperial", (Decimal("215.9"), Decimal("279.4")))])
def test_it_is_set_on_the_sheet_of_its_units(units, millimetres):
    """ISO 216 A4, ANSI/ASME Y14.1 A (Letter)."""
    box = read(plans.plan([], units)).pages[0].mediabox
    assert [float(side) * 25.4 / 72 for side in (box.width, box.height)] == pytest.approx([float(each) for each in millimetres], abs=0.1)


@pytest.mark.parametrize("text", some_of(NASTY, 4))
def test_any_text_comes_out_and_within_the_sheet(text):
    document = nasty(text)
    made = paper(document)
    assert paper(document) == made
    assert "ok" in words_in(made)


def test_every_word_of_it_has_a_german_text():
    known = messages("de")
    assert [each for each in words_of(papers.TEMPLATE) if known.gettext(each) == each] == []
    shown = said_of_lively("de")
    for english in ("Done", "Step", "Length", "Starts", "Remnant", "spool"):
        assert not re.search(rf"\b{english}\b", shown), english


def test_the_title_is_the_documents_and_its_language_is_declared():
    catalogue = read(lively(), "de")
    assert catalogue.metadata.title == f"Schnittplan: {words.title(lively(), speech_in('de', 'imperial'))}"
    assert catalogue.trailer["/Root"]["/Lang"] == "de"
    assert catalogue.trailer["/Root"]["/MarkInfo"]["/Marked"]

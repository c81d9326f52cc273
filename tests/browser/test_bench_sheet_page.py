"""The bench sheet in a browser: axe finds nothing, it fits a telephone, its own policy lets it look as it should, and it prints a page an assembly."""

from __future__ import annotations

import io
from functools import partial

import pytest
from pypdf import PdfReader

from service.documents.bench_sheet import html as pages
from service.documents.bench_sheet.html import style_hashes
from service.formats.replies import PAGE_POLICY
from tests.browser.browsing import DESKTOP, PHONE, complaints
from tests.counts import some_of
from tests.documents import made
from tests.documents.quotes import demo, quote, requests
from tests.documents.test_bench_sheet import ATTACK, KNOWN

page = made.of(pages.page)
BOATS = [partial(demo, place) for place in some_of(range(len(requests())), 2)]
POLICY = {"Content-Security-Policy": PAGE_POLICY.format(styles=style_hashes())}
NARROWEST = {"width": 320, "height": 640}  # CSS px at which nothing may have to be scrolled sideways: WCAG 2.2, 1.4.10


def superseded():
    return {**demo(0), "status": "superseded"}


def attacked():
    document = demo(0)
    document["boat"]["name"] = ATTACK
    for each in document["assemblies"]:
        each["tag"] = f"{each['tag']}{'W' * 30} {ATTACK}"
    return document


@pytest.mark.parametrize("viewport", some_of([PHONE, DESKTOP], 1))
@pytest.mark.parametrize("document", [*BOATS, superseded])
def test_axe_finds_nothing(show, document, viewport):
    assert complaints(show(page(document(), KNOWN), viewport, scripts=True)) == []


@pytest.mark.parametrize("document", [*BOATS, attacked])
def test_nothing_but_a_drawing_has_to_be_scrolled_sideways_and_nothing_is_asked_for(show, document):
    shown = show(page(document(), KNOWN), NARROWEST, headers=POLICY)
    assert shown.evaluate("[document.documentElement.scrollWidth, document.documentElement.clientWidth]") == [320, 320]
    wide = shown.evaluate(
        "[...document.querySelectorAll('body *:not(.drawing img)')].filter(each => each.getBoundingClientRect().right > 320.5).length"
    )
    assert wide == 0
    assert shown.asked == []


def test_a_telephone_shows_a_drawing_with_lettering_of_nine_pixels_in_a_box_that_takes_the_focus(show):
    shown = show(page(demo(0), KNOWN), PHONE, scripts=True)
    lettering = "[...document.querySelectorAll('.drawing img')].map(each => 10 * each.getBoundingClientRect().width / 560)"  # 10 of 560: the drawing's
    assert min(shown.evaluate(lettering)) >= 9
    assert shown.evaluate(
        "[...document.querySelectorAll('.drawing')].every(each => each.scrollWidth > each.clientWidth && each.tabIndex === 0)"
    )
    assert shown.evaluate("document.querySelectorAll('.swipe').length === document.querySelectorAll('.drawing').length")


@pytest.mark.parametrize("document", BOATS)
def test_no_tag_of_a_demo_boat_is_broken_on_a_telephone(show, document):
    shown = show(page(document(), KNOWN), PHONE, scripts=True)
    broken = "[...document.querySelectorAll('.list th[scope=row] bdi')].filter(each => each.getClientRects().length > 1).map(each => each.textContent)"
    assert [each for each in shown.evaluate(broken) if not {" ", "-"} & set(each)] == []  # at a hyphen or a space it may


def test_its_own_policy_lets_its_styles_and_drawings_be_seen(show):
    shown = show(page(demo(0), KNOWN), headers=POLICY, scripts=True)
    assert shown.evaluate("getComputedStyle(document.querySelector('.sheet')).borderTopStyle") == "solid"
    assert shown.evaluate("[...document.images].every(each => each.complete && each.naturalWidth > 300)")
    assert shown.evaluate("document.images.length") == 12  # one for each of the twelve that may be cut
    assert show(page(attacked(), KNOWN), headers=POLICY, scripts=True).evaluate("document.scripts.length") == 0


@pytest.mark.parametrize("document", BOATS)
def test_each_assembly_is_one_page_of_paper_and_its_drawing_another(show, document):
    document = document()
    expected = []  # what stands on the pages of paper after the first ones: a sheet's tag, or a drawing
    for each in document["assemblies"]:
        expected += [each["tag"], None] if each["readiness"] == "ready_to_cut" else [each["tag"]]
    pdf = show(page(document, KNOWN)).pdf(prefer_css_page_size=True)
    sizes = {tuple(round(float(side)) for side in each.mediabox[2:]) for each in PdfReader(io.BytesIO(pdf)).pages}
    # points: Letter 8.5 x 11 in, A4 210 x 297 mm (ISO 216)
    assert sizes <= ({(612, 792)} if document["display_units"] == "imperial" else {(595, 842), (595, 841), (596, 842)})
    papers = [" ".join(each.extract_text().split()) for each in PdfReader(io.BytesIO(pdf)).pages]
    assert 1 <= len(papers) - len(expected) <= 3
    for tag, words in zip(expected, papers[-len(expected) :], strict=True):
        sheet = "Cut the wire to" in words or "DO NOT CUT" in words
        assert (sheet, tag is None or tag in words) == (tag is not None, True), tag


def three_alike(tags):
    request = requests()[0]
    request["assemblies"] = [{**each, "quantity": 3} for each in request["assemblies"] if each["tag"] in tags]
    return quote(request)


def kept_from_before_it_was_asked(document):
    """As a quote of an earlier release is stored, which did not ask about one setting for several: that alone is taken away."""
    for each in document["assemblies"]:
        assert [one["code"] for one in each["findings"] if one["severity"] != "note"] == ["one-setting-for-several"]
        each["findings"] = [one for one in each["findings"] if one["severity"] == "note"]
        each["readiness"] = "ready_to_cut"
    return document


def test_three_alike_with_a_turnbuckle_are_asked_about_on_one_page_each_without_a_length(show):
    document = three_alike(("LOW-P", "LOW-S"))
    assert [each["readiness"] for each in document["assemblies"]] == ["confirm"] * 2  # no two turnbuckles are set alike
    papers = [
        " ".join(each.extract_text().split())
        for each in PdfReader(io.BytesIO(show(page(document, KNOWN)).pdf(prefer_css_page_size=True))).pages
    ]
    for assembly, words in zip(document["assemblies"], papers[-2:], strict=True):
        assert f"{assembly['tag']} " in words
        assert "DO NOT CUT" in words
        assert "3 wires are to be made to one setting of one turnbuckle" in words
        assert "Settled by, on" in words  # the last line of the page
    assert not any("Cut the wire to" in words for words in papers)


@pytest.mark.parametrize(("tags", "stored"), [(("LOW-P", "LOW-S"), kept_from_before_it_was_asked), (("LIFE-LOW-P", "LIFE-LOW-S"), dict)])
def test_three_alike_with_a_turnbuckle_or_without_and_their_notes_fit_their_page(show, tags, stored):
    document = stored(three_alike(tags))
    assert [each["readiness"] for each in document["assemblies"]] == ["ready_to_cut"] * 2
    pdf = show(page(document, KNOWN)).pdf(prefer_css_page_size=True)
    papers = [" ".join(each.extract_text().split()) for each in PdfReader(io.BytesIO(pdf)).pages]
    assert len(papers) >= 5
    for assembly, words in zip(document["assemblies"], papers[-4::2], strict=True):
        assert "Cut the wire to" in words
        assert f"{assembly['tag']}, piece" in words
        assert "verify every length" in words  # the last line of the page

"""The quotation in a browser: axe finds nothing, it fits a telephone, and its own policy lets it look as it should."""

from __future__ import annotations

import pytest

from service.documents.quotation_html import page, style_hashes
from service.forms import PAGE_POLICY
from tests.browser.browsing import DESKTOP, PHONE, complaints
from tests.browser.test_bench_sheet_page import NARROWEST, attacked
from tests.documents.quotes import demo, requests

BOATS = [demo(place) for place in range(len(requests()))]
POLICY = {"Content-Security-Policy": PAGE_POLICY.format(styles=style_hashes())}


@pytest.mark.parametrize("viewport", [PHONE, DESKTOP])
@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("place", range(len(BOATS)))
def test_axe_finds_nothing(show, place, language, viewport):
    assert complaints(show(page(BOATS[place], language), viewport, scripts=True)) == []


@pytest.mark.parametrize("document", [*BOATS, attacked()])
def test_nothing_has_to_be_scrolled_sideways_and_nothing_is_asked_for(show, document):
    shown = show(page(document, "de"), NARROWEST, headers=POLICY)
    assert shown.evaluate("[document.documentElement.scrollWidth, document.documentElement.clientWidth]") == [320, 320]
    assert shown.asked == []


def test_its_own_policy_lets_its_styles_and_drawings_be_seen(show):
    shown = show(page(BOATS[0]), headers=POLICY, scripts=True)
    assert shown.evaluate("getComputedStyle(document.querySelector('.box')).borderTopStyle") == "solid"
    assert shown.evaluate("[...document.images].every(each => each.complete && each.naturalWidth > 300)")
    assert shown.evaluate("document.images.length") >= 12

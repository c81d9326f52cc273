"""The quotation in a browser: axe finds nothing, it fits a telephone, and its own policy lets it look as it should."""

from __future__ import annotations

from functools import partial

import pytest

from service.documents.quotation import html
from service.documents.quotation.html import style_hashes
from service.formats.replies import PAGE_POLICY
from tests.browser.browsing import DESKTOP, PHONE, complaints
from tests.browser.test_bench_sheet_page import NARROWEST, attacked
from tests.counts import some, some_of
from tests.documents import made
from tests.documents.quotes import demo, requests

page = made.of(html.page)
BOATS = some_of(range(len(requests())), 2)
POLICY = {"Content-Security-Policy": PAGE_POLICY.format(styles=style_hashes())}


@pytest.mark.parametrize("viewport", some_of([PHONE, DESKTOP], 1))
@pytest.mark.parametrize(("place", "language"), [(place, each) for place in BOATS for each in ("en", "de")][:: some(1, 3)])
def test_axe_finds_nothing(show, place, language, viewport):
    assert complaints(show(page(demo(place), language), viewport, scripts=True)) == []


@pytest.mark.parametrize("document", [*(partial(demo, place) for place in BOATS), attacked])
def test_nothing_has_to_be_scrolled_sideways_and_nothing_is_asked_for(show, document):
    shown = show(page(document(), "de"), NARROWEST, headers=POLICY)
    assert shown.evaluate("[document.documentElement.scrollWidth, document.documentElement.clientWidth]") == [320, 320]
    assert shown.asked == []


def test_its_own_policy_lets_its_styles_and_drawings_be_seen(show):
    shown = show(page(demo(0)), headers=POLICY, scripts=True)
    assert shown.evaluate("getComputedStyle(document.querySelector('.box')).borderTopStyle") == "solid"
    assert shown.evaluate("[...document.images].every(each => each.complete && each.naturalWidth > 90)")
    assert shown.evaluate("document.images.length") >= 12

"""The contract's page in a browser: axe finds nothing, it fits a telephone, and its own policy lets it look as it should."""

from __future__ import annotations

import pytest

from service.forms import PAGE_POLICY
from service.manual import page, style_hash
from tests.browser.browsing import DESKTOP, PHONE, complaints
from tests.service.contract import OPENAPI

POLICY = {"Content-Security-Policy": PAGE_POLICY.format(styles=style_hash())}


@pytest.mark.parametrize("viewport", [PHONE, DESKTOP])
def test_axe_finds_nothing(show, viewport):
    assert complaints(show(page(OPENAPI.read_bytes()), viewport, scripts=True)) == []


def test_nothing_has_to_be_scrolled_sideways_and_nothing_is_asked_for(show):
    shown = show(page(OPENAPI.read_bytes()), {"width": 320, "height": 640}, headers=POLICY)
    assert shown.evaluate("[document.documentElement.scrollWidth, document.documentElement.clientWidth]") == [320, 320]
    assert shown.evaluate("getComputedStyle(document.querySelector('h2')).borderBottomStyle") == "solid"
    assert shown.asked == []

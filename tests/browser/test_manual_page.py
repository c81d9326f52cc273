"""The contract's page in a browser: axe finds nothing, it fits a telephone, and its own policy lets it look as it should."""

from __future__ import annotations

from itertools import islice

import pytest
import yaml

from service.formats.replies import PAGE_POLICY
from service.guides import page, style_hash
from tests.browser.browsing import DESKTOP, PHONE, complaints
from tests.counts import some, some_of
from tests.service.contract import OPENAPI, contract

POLICY = {"Content-Security-Policy": PAGE_POLICY.format(styles=style_hash())}


@pytest.mark.parametrize("viewport", some_of([PHONE, DESKTOP], 1))
def test_axe_finds_nothing(show, viewport):
    """On six addresses and all schemas' names: axe takes minutes for the whole, which is more of the same."""
    document = contract()
    paths = dict(islice(document["paths"].items(), some(6, 2)))
    short = {"components": {**document["components"], "schemas": {name: {"type": "string"} for name in document["components"]["schemas"]}}}
    assert complaints(show(page(yaml.safe_dump({**document, **short, "paths": paths}).encode()), viewport, scripts=True)) == []


def test_nothing_has_to_be_scrolled_sideways_and_nothing_is_asked_for(show):
    shown = show(page(OPENAPI.read_bytes()), {"width": 320, "height": 640}, headers=POLICY)
    assert shown.evaluate("[document.documentElement.scrollWidth, document.documentElement.clientWidth]") == [320, 320]
    assert shown.evaluate("getComputedStyle(document.querySelector('h2')).borderBottomStyle") == "solid"
    assert shown.asked == []

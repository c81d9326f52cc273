"""The form's element in a shop's page, under a policy that allows nothing but the service: its own origin works, another is refused and told."""

from __future__ import annotations

import pytest

from tests.browser.browsing import DESKTOP, PHONE, chromium, complaints
from tests.browser.shop_page import served


@pytest.fixture(scope="module")
def shop_and_service(tmp_path_factory):
    with served(tmp_path_factory.mktemp("shop"), SERVICE_TODAY="2026-11-25") as site:
        yield site


@pytest.fixture(scope="module")
def browser():
    with chromium() as found:
        yield found


def opened(browser, address, viewport=DESKTOP, **context):
    page = browser.new_context(viewport=viewport, **context).new_page()
    page.troubles = []
    page.on("console", lambda said: page.troubles.append(said.text))
    page.on("pageerror", lambda error: page.troubles.append(str(error)))
    page.goto(address)
    return page


@pytest.mark.parametrize("viewport", [PHONE, DESKTOP, {"width": 320, "height": 640}])
def test_its_own_origin_gets_the_form_and_nothing_breaks_the_policy(browser, shop_and_service, viewport):
    _, shop, *_ = shop_and_service
    page = opened(browser, shop.origin, viewport, bypass_csp=False)
    page.get_by_label("Boat's name").wait_for()
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert page.troubles == []
    assert page.context.cookies() == []
    page.context.close()


def test_axe_finds_nothing_on_the_first_page(browser, shop_and_service):
    _, shop, *_ = shop_and_service
    page = opened(browser, shop.origin, bypass_csp=True)
    page.get_by_label("Boat's name").wait_for()
    assert complaints(page) == []
    page.context.close()


def test_another_origin_is_refused_and_told_why(browser, shop_and_service):
    _, _, stranger, *_ = shop_and_service
    page = opened(browser, stranger.origin)
    page.get_by_text("The shop has to bind its publishable key to this origin").wait_for()
    page.context.close()


def test_what_was_typed_survives_a_reload(browser, shop_and_service):
    _, shop, *_ = shop_and_service
    page = opened(browser, shop.origin)
    page.get_by_label("Boat's name").fill("Turnstone")
    page.wait_for_timeout(600)
    page.reload()
    page.get_by_role("button", name="You and your boat").or_(page.get_by_text("You and your boat")).first.click()
    assert page.get_by_label("Boat's name").input_value() == "Turnstone"
    page.context.close()

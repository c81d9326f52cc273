"""The quotation's page behind a customer's link, in a browser with scripts off: answered by the keyboard alone, clean under axe."""

from __future__ import annotations

import threading

import pytest
from werkzeug.serving import make_server

from service.app import create_app
from service.settings import Settings
from service.storage import Quotes, migrate
from tests.browser.browsing import DESKTOP, PHONE, complaints
from tests.service.conftest import DAY, KEY, demo, engine  # noqa: F401  # the fixtures
from tests.service.holders import link_to
from tests.service.test_settlements import asking

NARROWEST = {"width": 320, "height": 640}  # CSS px: WCAG 2.2, 1.4.10
NAME, WORDS = "Asta Lindqvist", "The size was read by caliper; I know it."


@pytest.fixture
def shop(engine, tmp_path):  # noqa: F811
    quotes = Quotes(f"sqlite:///{tmp_path}/quotes.sqlite3")
    migrate(quotes.engine())
    app = create_app(Settings(today=DAY, demo_key=KEY), engine, quotes)
    server = make_server("127.0.0.1", 0, app, threaded=True)
    threading.Thread(target=server.serve_forever).start()
    client = app.test_client()
    client.environ_base["HTTP_AUTHORIZATION"] = f"Bearer {KEY}"
    client.address, client.quotes = f"http://127.0.0.1:{server.server_port}", quotes
    yield client
    server.shutdown()
    quotes.close()


@pytest.fixture
def made(shop, demo):  # noqa: F811
    return asking(shop, demo)


def link(shop, made, language="en"):
    href = shop.post(f"/v1/quotes/{made['id']}/links", json={}).json["href"]
    return f"{shop.address}{href}&format=html&lang={language}"


@pytest.mark.parametrize("language", ["en", "de"])
def test_by_the_link_on_paper_the_address_is_asked_and_asked_again_in_place(show, shop, demo, language):  # noqa: F811
    made = asking(shop, {**demo, "customer": {"name": NAME, "email": "rig@tern-point.example"}})
    token = link_to(shop.quotes, made["id"], reads=True)
    page = show(f"{shop.address}/v1/quotes/{made['id']}?token={token}&format=html&lang={language}", PHONE)
    assert complaints(page) == []
    for address in ("somebody@else.example", "Rig@Tern-Point.example"):
        for field, words in (("name", NAME), ("understood", WORDS), ("email", address)):
            page.locator(f"#accept-{field}").fill(words)
        page.locator("#accept-open").check()
        with page.expect_navigation():
            page.locator("form:has(#accept-name) button").click()
        if address.startswith("somebody"):
            assert page.locator("#address-refused").evaluate("each => each === document.activeElement")
            assert page.locator("#accept-name").input_value() == NAME
            assert complaints(page) == []
            assert quote(shop, made)["status"] == "issued"
    assert quote(shop, made)["status"] == "accepted"


def quote(shop, made):
    return shop.get(f"/v1/quotes/{made['id']}").json


def tab_to(page, of):
    """Tab on until this has the focus."""
    for _ in range(100):
        page.keyboard.press("Tab")
        if page.locator(of).evaluate("each => each === document.activeElement"):
            return
    raise AssertionError(f"no way by Tab to {of}")


@pytest.mark.parametrize("viewport", [PHONE, DESKTOP])
def test_a_customer_accepts_by_the_keyboard_alone(show, shop, made, viewport):
    page = show(link(shop, made), viewport)
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")  # the way to the answer
    assert page.evaluate("location.hash") == "#answer"
    tab_to(page, "#accept-name")
    page.keyboard.type(NAME)
    page.keyboard.press("Enter")  # the browser itself asks for what lacks, and sends nothing
    assert quote(shop, made)["status"] == "issued"
    tab_to(page, "#accept-open")
    page.keyboard.press("Space")
    page.keyboard.press("Tab")
    page.keyboard.type(WORDS)
    page.keyboard.press("Tab")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    assert f"Accepted by {NAME} on " in page.locator("#answer").inner_text()
    assert page.url.startswith(f"{shop.address}/v1/quotes/{made['id']}?token=")
    page.go_back()
    page.reload()  # the page as it was before has no button left that would work a second time
    assert page.locator("#accept-name").count() == 0
    accepted = quote(shop, made)["accepted"]
    assert (accepted["by"], accepted["open"], accepted["understood"]) == (NAME, "as_listed", WORDS)


def test_a_customer_asks_and_then_declines_by_the_keyboard_alone(show, shop, made):
    page = show(link(shop, made, "de"), PHONE)
    tab_to(page, "#ask-words")
    page.keyboard.type("Geht es auch dünner?")
    page.keyboard.press("Tab")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    assert "Geht es auch dünner?" in page.locator("#answer").inner_text()
    tab_to(page, "#decline-reason")
    page.keyboard.type("Nicht dieses Jahr.")
    page.keyboard.press("Tab")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    assert page.locator("form").count() == 0
    event = shop.get(f"/v1/quotes/{made['id']}/events").json["events"][-1]
    assert (event["type"], event["note"]) == ("quote.declined", "Nicht dieses Jahr.")


def test_what_has_changed_is_told_first_and_nothing_typed_is_lost(show, shop, made):
    page = show(link(shop, made), PHONE)
    page.locator("#accept-name").fill(NAME)
    page.locator("#accept-understood").fill(WORDS)
    page.locator("#accept-open").check()
    shop.post(f"/v1/quotes/{made['id']}/questions", json={"words": "By telephone: when?"})
    with page.expect_navigation():
        page.locator("#accept-name").press("Enter")
    assert page.locator("#refused").evaluate("each => each === document.activeElement")
    assert "has changed since you opened this page" in page.locator("#refused").inner_text()
    assert (page.locator("#accept-name").input_value(), page.locator("#accept-understood").input_value()) == (NAME, WORDS)
    assert not page.locator("#accept-open").is_checked()  # of what is open now
    page.locator("#accept-open").check()
    with page.expect_navigation():
        page.locator("#accept-name").press("Enter")
    assert quote(shop, made)["status"] == "accepted"


@pytest.mark.parametrize("language", ["en", "de"])
def test_the_page_is_clean_under_axe_fits_the_narrowest_window_and_keeps_its_looks(show, shop, made, language):
    asked = shop.post(f"/v1/quotes/{made['id']}/questions", json={"words": "W" * 300}).json["questions"][0]["id"]
    shop.post(f"/v1/quotes/{made['id']}/questions/{asked}/answer", json={"words": "M" * 300, "by": "Jo Marsh"})
    page = show(link(shop, made, language), NARROWEST)
    for _ in ("as opened", "as refused"):
        assert complaints(page) == []
        assert page.evaluate("[document.documentElement.scrollWidth, document.documentElement.clientWidth]") == [320, 320]
        assert page.evaluate("getComputedStyle(document.querySelector('button.main')).color") == "rgb(255, 255, 255)"
        assert page.evaluate("getComputedStyle(document.querySelector('.sign')).display") == "none"  # to be signed on paper alone
        page.evaluate("document.querySelectorAll('[required]').forEach(each => each.removeAttribute('required'))")
        with page.expect_navigation():
            page.locator("#answer button").first.press("Enter")
    page.emulate_media(media="print")
    assert page.evaluate("getComputedStyle(document.querySelector('#answer')).display") == "none"
    assert page.evaluate("getComputedStyle(document.querySelector('.sign')).display") == "block"

"""The plain form in a browser with scripts off: every step clean under axe, as wide as the narrowest window, and walked by the keyboard alone."""

from __future__ import annotations

import threading

import pytest
from werkzeug.serving import make_server

from service.app import create_app
from service.credentials.keys import Kind
from service.settings import Settings
from service.storage import Quotes, migrate
from service.web_form.refusal import TEXTS, refusal_page
from tests.browser.browsing import DESKTOP, PHONE, complaints
from tests.counts import some_of
from tests.service.conftest import DAY, engine  # noqa: F401  # the fixture
from tests.service.holders import kept_key
from tests.service.plain_form import Visitor, walk_to_review

NARROWEST = {"width": 320, "height": 640}  # CSS px: WCAG 2.2, 1.4.10


@pytest.fixture
def served(engine, tmp_path):  # noqa: F811
    quotes = Quotes(f"sqlite:///{tmp_path}/quotes.sqlite3")
    migrate(quotes.engine())
    app = create_app(Settings(today=DAY, form_key=kept_key(quotes, Kind.PUBLISHABLE)), engine, quotes)
    server = make_server("127.0.0.1", 0, app, threaded=True)
    threading.Thread(target=server.serve_forever).start()
    yield app, f"http://127.0.0.1:{server.server_port}/form"
    server.shutdown()
    quotes.close()


class Keeping(Visitor):
    """Keeps every page that it was shown."""

    def __init__(self, client, language):
        self.pages = []
        super().__init__(client, language)
        self.pages.append(self.answer)

    def press(self, button, **written):
        page = super().press(button, **written)
        self.pages.append(self.answer)
        return page


@pytest.mark.parametrize("language", [pytest.param("en", marks=pytest.mark.long), "de"])
def test_every_page_is_clean_under_axe_and_fits_the_narrowest_window(show, served, language):
    visitor = Keeping(served[0].test_client(), language)
    walk_to_review(visitor)
    visitor.press("edit-0-before")
    visitor.press("next", turnbuckle__setting__upper_exposed="11 16", turnbuckle__setting__lower_exposed="")
    assert len(visitor.pages) > 8
    for answer in some_of(visitor.pages, 3):
        policy = {"Content-Security-Policy": answer.headers["Content-Security-Policy"]}
        for viewport in some_of((PHONE, DESKTOP), 1):
            assert complaints(show(answer.data, viewport, scripts=True)) == []
        shown = show(answer.data, NARROWEST, headers=policy)
        assert shown.evaluate("[document.documentElement.scrollWidth, document.documentElement.clientWidth]") == [320, 320]
        assert (
            shown.evaluate("getComputedStyle(document.querySelector('button.main')).color") == "rgb(255, 255, 255)"
        )  # its own policy lets it in


@pytest.mark.parametrize("viewport", [PHONE, DESKTOP])
def test_the_first_steps_by_keyboard_alone_with_scripts_off(show, served, viewport):
    page = show(served[1], viewport)
    page.locator("#q-boat\\.name").focus()
    page.keyboard.type("Wagtail")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    assert page.locator("h1").inner_text() == "Before you take it off"
    for choice in ("#c-place-1", "#c-unusual-1", "#c-turnbuckle_is-2"):  # the port cap shroud, with an open turnbuckle that stays
        page.locator(choice).focus()
        page.keyboard.press("Space")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    page.locator("#q-turnbuckle\\.setting\\.upper_exposed").focus()
    page.keyboard.type("11 16")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    summary = page.locator("#summary")
    assert summary.evaluate("each => document.activeElement === each")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    assert page.evaluate("location.hash") == "#q-turnbuckle.setting.upper_exposed"
    assert "11/16" in page.locator("#f-turnbuckle\\.setting\\.upper_exposed").inner_text()
    assert page.evaluate("document.images.length > 0 && [...document.images].every(each => each.complete && each.naturalWidth > 0)")


@pytest.mark.parametrize("language", ["en", "de"])
def test_every_refusal_is_clean_under_axe_and_fits_the_narrowest_window(show, language):
    for status in (429, 404, 422):
        assert status in TEXTS
        page = show(
            refusal_page(status, language, [("go", "next"), ("draft", "{}")], "12", "01a215c1-ad25-749d-8230-b2387856f2c5"),
            NARROWEST,
            scripts=True,
        )
        assert complaints(page) == []
        assert page.evaluate("document.documentElement.scrollWidth") == 320

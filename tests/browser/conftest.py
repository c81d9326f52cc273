"""Fixtures for tests that look at pages in a browser. The browser is started once, when a test first needs it."""

import pytest

from tests.browser.browsing import DESKTOP, chromium
from tests.browser.shop_page import served, watched

PATIENCE = 180_000  # ms, of whoever waits for something that must come: a loaded machine is slow
ADDRESS = "http://page.test/"


@pytest.fixture(scope="session")
def browser():
    with chromium() as started:
        from playwright.sync_api import expect

        expect.set_options(timeout=PATIENCE)
        yield started


@pytest.fixture
def show(browser):
    """`show(page, viewport=..., headers=..., scripts=...)`: bytes of HTML, served as an answer with these headers, or an address; gives Playwright's page.

    Bytes come without a network: anything else that the page asks for is refused, and noted in `page.asked`. Without `scripts` the
    page's own are not run, as in a browser that has them off.
    """
    contexts = []

    def open_page(content, viewport=DESKTOP, headers=None, scripts=False, **options):
        context = browser.new_context(viewport=viewport, java_script_enabled=scripts, **options)
        context.set_default_timeout(PATIENCE)
        contexts.append(context)
        page = context.new_page()
        page.asked, page.scripts = [], scripts
        if isinstance(content, bytes):
            _serve(page, content, {"Content-Type": "text/html; charset=utf-8", **(headers or {})})
        page.goto(ADDRESS if isinstance(content, bytes) else content)
        return page

    yield open_page
    for context in contexts:
        context.close()


def _serve(page, content, headers):
    def answer(route):
        if route.request.url == ADDRESS:
            route.fulfill(status=200, body=content, headers=headers)
        else:
            page.asked.append(route.request.url)
            route.abort()

    page.route("**/*", answer)


@pytest.fixture(scope="session")
def quoting(tmp_path_factory):
    """A service, a shop's page with a key bound to it, and a stranger's page with the same lines: see tests/browser/shop_page.py."""
    with served(tmp_path_factory.mktemp("quoting")) as everything:
        yield everything


@pytest.fixture
def visit(browser, quoting):
    """`visit(size, lang=...)`: the shop's page in a browser of its own, once its form is there. `page.seen` tells what went wrong and what was
    sent; `more` goes to `Shop.show`.
    """
    contexts = []

    def open_page(size=DESKTOP, lang="en", shop=None, **more):
        quoting.shop.show(quoting.service, quoting.key, lang, **more)
        contexts.append(browser.new_context(viewport=size, locale="en-US"))
        contexts[-1].set_default_timeout(PATIENCE)
        page = contexts[-1].new_page()
        page.seen = watched(page)
        page.goto((shop or quoting.shop).origin)
        page.locator("wire-quote-form :is(h2, [role=alert])").first.wait_for()
        return page

    yield open_page
    for context in contexts:
        context.close()

"""A real browser for tests: Debian's Chromium driven by Playwright, and axe in it.

A test asks for the fixture `show` (tests/browser/conftest.py) and gives it bytes of a page or an address; `complaints` runs axe.
"""

import os
import shutil
from contextlib import contextmanager
from pathlib import Path

import axe_playwright_python
import pytest

BINARIES = ("chromium", "chromium-browser", "google-chrome")
PHONE, DESKTOP = {"width": 360, "height": 740}, {"width": 1280, "height": 900}
WCAG = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]  # the tags of axe for WCAG 2.2, levels A and AA
AXE = Path(axe_playwright_python.__file__).parent / "axe.min.js"


def binary():
    """Where a Chromium is. Skips the test where there is none; fails it where tests must have everything."""
    found = next((path for name in BINARIES if (path := shutil.which(name))), None)
    if found is None:
        reason = "no Chromium here: `apt-get install chromium` brings it"
        if os.environ.get("TEST_SERVICES_REQUIRED"):
            pytest.fail(reason)
        # on a newcomer's machine without a browser; .ci/run installs one, and then it is a failure
        pytest.skip(reason)
    return found


@contextmanager
def chromium():
    """A browser without a window, for as long as the block lasts."""
    from playwright.sync_api import sync_playwright

    path = binary()
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=["--no-sandbox", "--font-render-hinting=none"])
        try:
            yield browser
        finally:
            browser.close()


STILL = """() => {
  const still = document.documentElement.cloneNode(true);
  still.querySelectorAll('script').forEach(each => each.remove());
  still.querySelectorAll('noscript').forEach(each => each.replaceWith(...each.childNodes));
  return '<!DOCTYPE html>' + still.outerHTML;
}"""


def complaints(page, tags=WCAG):
    """What axe holds against the page as it stands, a line each: rule, what it asks, and where.

    axe needs scripts: of a page that was opened without any (`page.scripts`) it looks at a twin, the same elements in a page that runs none
    of its own.
    """
    if not getattr(page, "scripts", True):
        context = page.context.browser.new_context(viewport=page.viewport_size)
        try:
            twin = context.new_page()
            twin.set_content(page.evaluate(STILL))
            return _complaints(twin, tags)
        finally:
            context.close()
    return _complaints(page, tags)


def _complaints(page, tags):
    page.evaluate(AXE.read_text(encoding="utf-8"))
    found = page.evaluate("tags => axe.run(document, {runOnly: {type: 'tag', values: tags}, resultTypes: ['violations']})", tags)
    assert found["passes"], "axe found nothing to look at"
    return [f"{each['id']}: {each['help']}: {node['target']}" for each in found["violations"] for node in each["nodes"]]

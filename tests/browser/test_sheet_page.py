"""The measuring sheet's page in a browser with scripts off: clean under axe, as wide as the narrowest window, and used by the keyboard alone."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from tests.browser.browsing import DESKTOP, PHONE, complaints
from tests.browser.test_plain_form_page import NARROWEST, engine, served  # noqa: F401  # the fixtures
from tests.counts import some_of
from tests.measuring_sheet.filling import ENGLISH, GERMAN, WHOLE, workbook

BAD = {"measurement.readings.1": "11 16 in", "upper.terminal": "W" * 60, "side": "left"}


def filled(served, language, *rows):  # noqa: F811
    sheet = served[0].test_client().get(f"/form/sheet?format=xlsx&lang={language}").data
    return {"name": "sheet.xlsx", "mimeType": "application/octet-stream", "buffer": workbook(sheet, WHOLE, list(rows))}


def send(page, file):
    page.locator("#q-sheet").set_input_files(files=[file])
    page.locator("#q-sheet").focus()
    page.keyboard.press("Tab")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    page.bring_to_front()  # a page that is not painted gets no focus of its own, and on a busy machine none at all


@pytest.mark.parametrize(("language", "row"), some_of([("en", ENGLISH), ("de", GERMAN)], 1))
@pytest.mark.parametrize("viewport", some_of([NARROWEST, PHONE, DESKTOP], 1))
def test_every_state_of_the_page_is_clean_under_axe_and_fits(show, served, language, row, viewport):  # noqa: F811
    address = f"{served[1]}/sheet?lang={language}"
    held = {**row, "tag": "CAP-S", "turnbuckle.pin": "9 mm"}
    for file in (None, filled(served, language, row, held), filled(served, language, {**row, **BAD})):
        page = show(address, viewport)
        if file is not None:
            send(page, file)
            expect(page.locator("#summary, #read")).to_be_focused()
        assert complaints(page) == []
        assert page.evaluate("document.documentElement.scrollWidth") == viewport["width"]
        assert page.locator("button.main").first.evaluate("each => getComputedStyle(each).color") == "rgb(255, 255, 255)"


def test_from_the_page_to_the_quotation_by_keyboard_alone(show, served):  # noqa: F811
    page = show(f"{served[1]}/sheet", PHONE)
    page.locator("#q-units").focus()
    with page.expect_download() as started:
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")  # in the field, Enter presses the form's first button: the workbook
    assert started.value.suggested_filename == "measuring-sheet.xlsx"
    send(page, filled(served, "en", {**ENGLISH, **BAD}))
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.wait_for_url("**#faults")
    expect(page.locator("#faults tbody tr")).to_have_count(len(BAD))
    send(page, filled(served, "en", ENGLISH))
    button = page.locator("button[value=send]")
    for _ in range(20):
        page.keyboard.press("Tab")
        if button.evaluate("each => each === document.activeElement"):
            break
    with page.expect_navigation():
        page.keyboard.press("Enter")
    assert "Q-2026-000001" in page.locator("body").inner_text()

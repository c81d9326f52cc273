"""The owner's pages and the fleets at the desk: clean under axe, nothing to scroll sideways, on a screen and on a phone, in both languages."""

from __future__ import annotations

import json

import pytest

from pricing.catalogue import DEMO_FOLDER
from service.credentials.people import Role
from service.engine.catalogues import files_of
from service.storage import Editions
from tests.batches.fleet import boat, ndjson, worked
from tests.browser.browsing import complaints
from tests.browser.desk_day import PHONE, SCREEN, shop_at_work
from tests.service.conftest import DAY, KEY, engine  # noqa: F401  # the fixture

WIDER = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
WITH_KEY = {"Authorization": f"Bearer {KEY}"}


@pytest.fixture
def desk(engine, tmp_path):  # noqa: F811
    with shop_at_work(engine, tmp_path) as at_work:
        yield at_work


def trial(desk):
    """An edition with a tax that is doubted, so that its page has everything."""
    quotes = desk.app.extensions["quotes"]
    tables = files_of(DEMO_FOLDER)
    edition = desk.app.extensions["catalogues"].current().key
    Editions(quotes).put_in_force(edition, tables, DAY)
    sent = {"files": {"tax.csv": tables["tax.csv"].replace("wire,S,2026-01-01,7,", "wire,S,2026-01-01,0.19,")}, "base": edition.id}
    made = desk.app.test_client().post("/v1/tables", json=sent, headers=WITH_KEY)
    assert made.json["doubts"], made.json
    return f"/desk/tables/{made.json['edition']['id']}?from={DAY}"


def fleet(desk):
    """Four sisters, one that was measured a hundred feet longer, and one that cannot be read."""
    wrong = boat("HULL-9")
    measured = wrong["assemblies"][0]["measurement"]
    measured["readings"] = [f"1{each}" for each in measured["readings"]]
    lines = ndjson(*(boat(f"HULL-{each}") for each in range(4)), wrong, {"custom_id": "HULL-X", "assemblies": []})
    made = desk.app.test_client().post("/v1/batches", data=lines, headers={**WITH_KEY, "Content-Type": "application/x-ndjson"})
    assert made.status_code == 202, made.json
    worked(desk.app, desk.app.extensions["quotes"])
    return f"/desk/fleets/{made.json['id']}"


def test_the_owners_pages_are_sound_on_screen_and_phone_in_both_languages(browser, desk):
    desk.requested()
    pages = [trial(desk), fleet(desk), "/desk/tables", "/desk/figures", "/desk/terms", "/desk/fleets"]
    for viewport, language in ((SCREEN, "en"), (PHONE, "de")):
        page = desk.signed_in(browser, Role.OWNER, viewport, language)
        for address in pages:
            assert page.goto(f"{desk.origin}{address}").status == 200, address
            assert complaints(page) == [], address
            assert page.evaluate(WIDER) == 0, address
        page.goto(f"{desk.origin}{pages[1]}")
        assert "HULL-9" in page.locator("tr.odd").inner_text()
        page.context.close()


def test_a_table_is_chosen_and_sent_with_a_browser(browser, desk):
    trial(desk)
    page = desk.signed_in(browser, Role.OWNER, SCREEN)
    page.goto(f"{desk.origin}/desk/tables")
    tax = files_of(DEMO_FOLDER)["tax.csv"].replace(",7,", ",8,", 1)
    page.locator("#files").set_input_files({"name": "tax.csv", "mimeType": "text/csv", "buffer": tax.encode()})
    with page.expect_navigation():
        page.get_by_role("button", name="Send and check").click()
    assert "Nothing counts yet" in page.locator("main").inner_text()
    statuses = [each["status"] for each in desk.read("/v1/tables")["editions"]]
    assert sorted(statuses) == ["draft", "draft", "in_force"], json.dumps(statuses)

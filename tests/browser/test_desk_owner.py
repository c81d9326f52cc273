"""The owner sends tables, and the counter follows a fleet, with a browser."""

from __future__ import annotations

import json

import pytest

from pricing.catalogue import DEMO_FOLDER
from service.credentials.people import Role
from service.engine.catalogues import files_of
from tests.batches.fleet import boat, ndjson, worked
from tests.browser.desk_day import SCREEN, shop_at_work
from tests.browser.desk_shop import WITH_KEY, trial
from tests.service.conftest import engine  # noqa: F401  # the fixture


@pytest.fixture
def desk(engine, tmp_path):  # noqa: F811
    with shop_at_work(engine, tmp_path) as at_work:
        yield at_work


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


def test_the_figures_of_a_fleet_follow_its_work_and_the_page_ends_with_it(browser, desk):
    at, client = desk.origin, desk.app.test_client()
    made = client.post(
        "/v1/batches", data=ndjson(boat("HULL-1"), boat("HULL-2")), headers={**WITH_KEY, "Content-Type": "application/x-ndjson"}
    )
    page = desk.signed_in(browser, Role.COUNTER, SCREEN)
    address = f"{at}/desk/fleets/{made.json['id']}"
    page.goto(address)
    main = page.locator("main")
    assert "Boats: 2. Quoted: 0. Not quoted: 0." in main.inner_text()
    page.evaluate("window.same = true")
    as_it_was = page.request.get(address).text()
    page.route(address, lambda route: route.fulfill(body=as_it_was.replace("Quoted: 0. Not", "Quoted: 1. Not"), content_type="text/html"))
    page.get_by_text("Boats: 2. Quoted: 1. Not quoted: 0.").wait_for()
    assert page.evaluate("window.same") is True  # in place: the page was not fetched anew
    page.unroute(address)
    worked(desk.app, desk.app.extensions["quotes"])
    page.get_by_role("heading", name="What to buy for it").wait_for()
    assert "Boats: 2. Quoted: 2. Not quoted: 0." in main.inner_text()
    assert page.evaluate("window.same") is None

"""The owner sends tables with a browser."""

from __future__ import annotations

import json

import pytest

from pricing.catalogue import DEMO_FOLDER
from service.credentials.people import Role
from service.engine.catalogues import files_of
from tests.browser.desk_day import SCREEN, shop_at_work
from tests.browser.desk_shop import trial
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

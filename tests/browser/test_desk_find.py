"""Finding at the desk follows what is typed; an answer that comes late does not replace a newer one; without scripts the form finds the same."""

from __future__ import annotations

import pytest

from service.credentials.people import Role
from service.demo import demo_names, demo_request
from service.encoding import json
from tests.browser.desk_day import SCREEN, shop_at_work
from tests.service.conftest import KEY, engine  # noqa: F401  # the fixture

WITH_KEY = {"Authorization": f"Bearer {KEY}"}
BOATS = ("Wagtail", "Dunlin", "Plover")


@pytest.fixture(scope="module")
def desk(engine, tmp_path_factory):  # noqa: F811
    with shop_at_work(engine, tmp_path_factory.mktemp("find")) as at_work:
        client, asked = at_work.app.test_client(), json.read(demo_request(demo_names()[0]))
        asked["assemblies"] = asked["assemblies"][:1]
        for boat in BOATS:
            made = client.post("/v1/quotes", json={**asked, "boat": {"name": boat}}, headers=WITH_KEY)
            assert made.status_code == 201, made.json
        yield at_work


@pytest.fixture
def page(browser, desk):
    found = desk.signed_in(browser, Role.COUNTER, SCREEN)
    found.goto(f"{desk.origin}/desk/find")
    yield found
    found.context.close()


def to_be(page, *names):
    """Wait until these are listed, and no others."""
    from playwright.sync_api import expect  # where there is no browser the file is still read

    expect(page.locator("#found b")).to_have_text(list(names))


def boats(page):
    return page.locator("#found b").all_inner_texts()


def test_the_list_follows_the_typing_and_the_address_with_it(page):
    assert set(BOATS) <= set(boats(page))
    page.keyboard.type("dun")
    to_be(page, "Dunlin")
    assert page.url.endswith("?q=dun")
    assert page.evaluate("document.activeElement.id") == "q"
    page.keyboard.type("zzz")
    page.locator("#found", has_text="Nothing was found").wait_for()


def test_a_slow_answer_does_not_replace_a_newer_one(page):
    """The answer to the first word is held back until that to the second has come."""
    held = []
    page.route("**/desk/find?q=wag", lambda route: held.append(route))
    page.locator("#q").fill("wag")
    while not held:
        page.wait_for_timeout(20)
    page.locator("#q").fill("plo")
    to_be(page, "Plover")
    with page.expect_response("**/desk/find?q=wag"):
        held[0].continue_()
    page.wait_for_timeout(100)  # as long as a list that had been taken would need to be seen
    assert boats(page) == ["Plover"]
    assert page.url.endswith("?q=plo")


def test_a_network_that_is_gone_leaves_what_was_found(page):
    before = boats(page)
    page.route("**/desk/find?*", lambda route: route.abort())
    with page.expect_event("requestfailed"):
        page.locator("#q").fill("dun")
    assert boats(page) == before


def test_without_scripts_the_form_finds_the_same(browser, desk, page):
    plain = browser.new_context(viewport=SCREEN, java_script_enabled=False, storage_state=page.context.storage_state()).new_page()
    plain.goto(f"{desk.origin}/desk/find")
    plain.locator("#q").fill("dun")
    with plain.expect_navigation():
        plain.keyboard.press("Enter")
    assert boats(plain) == ["Dunlin"]
    assert plain.locator("#q").input_value() == "dun"
    plain.context.close()

"""Revising a quote at the desk in a browser: a length by keys alone, a wire that is added; clean under axe, nothing to scroll sideways, on a
screen and on a phone.
"""

from __future__ import annotations

import pytest

from service.credentials.people import Role
from tests.browser.browsing import complaints
from tests.browser.desk_day import PHONE, SCREEN, Keys, shop_at_work
from tests.service.conftest import engine  # noqa: F401  # the fixture

WIDER = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
BESIDE = "[...document.querySelectorAll('.part')].map(each => each.getBoundingClientRect()).filter(each => each.width < 4 || each.height < 4).length"


@pytest.fixture(scope="module")
def desk(engine, tmp_path_factory):  # noqa: F811
    with shop_at_work(engine, tmp_path_factory.mktemp("revise")) as at_work:
        yield at_work


def sound(page):
    assert complaints(page) == []
    assert page.evaluate(WIDER) == 0


def test_a_length_is_revised_by_keys_alone(browser, desk):
    quote_id, _ = desk.requested()
    before = desk.read(f"/v1/quotes/{quote_id}/request")
    counter = desk.signed_in(browser, Role.COUNTER, SCREEN)
    counter.goto(f"{desk.origin}/desk/quotes/{quote_id}")
    keys = Keys(counter)
    keys.press("Revise it")
    sound(counter)
    keys.press("Change: The length")
    sound(counter)
    assert counter.locator(".part").count() > 3
    assert counter.evaluate(BESIDE) == 0  # each lies over its part of the drawing
    keys.write("measurement.readings", "103 ft 0 7/32 in")
    keys.press("To the review")
    keys.press("See what will change")
    sound(counter)
    assert "103 ft 0 7/32 in" in counter.locator("main").inner_text()
    keys.press("Issue the revision")
    assert "This is the revision" in counter.locator("main").inner_text()
    after = desk.read(f"/v1/quotes/{counter.url.partition('?')[0].rpartition('/')[2]}/request")
    (wire,) = after["assemblies"]
    assert wire["measurement"].pop("readings")[0] == "103 ft 0 7/32 in"
    before["assemblies"][0]["measurement"].pop("readings")
    assert after == before
    counter.context.close()


def test_a_wire_is_added_on_a_phone(browser, desk):
    quote_id, _ = desk.requested()
    (before,) = desk.read(f"/v1/quotes/{quote_id}/request")["assemblies"]
    counter = desk.signed_in(browser, Role.COUNTER, PHONE)
    counter.goto(f"{desk.origin}/desk/quotes/{quote_id}/revise")
    sound(counter)
    pressed(counter, "Add another wire")
    sound(counter)
    pressed(counter, "The same as CAP-P, on the other side")
    counter.get_by_label("Yes, I looked").check()
    counter.get_by_label("Thread showing at the upper screw").fill("1 1/8 in")
    counter.get_by_label("Thread showing at the lower screw").fill("1 in")
    while counter.get_by_role("button", name="Continue").count():
        if counter.get_by_label("Reading 1").count():
            counter.get_by_label("Reading 1").fill("29 ft 10 5/16 in")
            for name in ("How long is the old turnbuckle's body?", "How far is it from the outer screw's thread to the bearing?"):
                if counter.get_by_label(name).count():
                    counter.get_by_label(name).fill("4 in" if "body" in name else "1 1/4 in")
        pressed(counter, "Continue")
        assert counter.get_by_role("alert").count() == 0, counter.get_by_role("alert").inner_text()
    pressed(counter, "See what will change")
    sound(counter)
    pressed(counter, "Issue the revision")
    old, new = desk.read(f"/v1/quotes/{counter.url.partition('?')[0].rpartition('/')[2]}/request")["assemblies"]
    assert old == before
    assert (new["tag"], new["side"], new["wire"]) == ("CAP-S", "starboard", before["wire"])
    assert new["measurement"]["readings"] == ["29 ft 10 5/16 in"]
    counter.context.close()


def pressed(page, name):
    with page.expect_navigation():
        page.get_by_role("button", name=name, exact=True).last.click()

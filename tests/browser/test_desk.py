"""A rig's wire from the customer's request by the form to the handing over, at the desk: three people in three browsers, the counter by keys
alone, the bench on a phone; every page on the way is clean under axe and needs no scrolling sideways.
"""

from __future__ import annotations

import pytest

from service.credentials.people import Role
from tests.browser.browsing import complaints
from tests.browser.desk_day import NAMES, PHONE, SCREEN, Keys, shop_at_work
from tests.service.conftest import engine  # noqa: F401  # the fixture

WIDER = "document.documentElement.scrollWidth - document.documentElement.clientWidth"


@pytest.fixture
def desk(engine, tmp_path):  # noqa: F811
    with shop_at_work(engine, tmp_path) as at_work:
        yield at_work


def sound(page):
    assert complaints(page) == []
    assert page.evaluate(WIDER) == 0


def test_from_a_request_by_the_form_to_handed_over(browser, desk):
    quote_id, link = desk.requested()
    customer = browser.new_context(viewport=PHONE).new_page()
    customer.goto(f"{desk.origin}{link.removeprefix(desk.origin)}")
    counter = desk.signed_in(browser, Role.COUNTER, SCREEN)
    bench = desk.signed_in(browser, Role.BENCH, PHONE)
    owner = desk.signed_in(browser, Role.OWNER, SCREEN)

    asked(customer, desk, quote_id)
    answered(counter, desk, quote_id)
    settled_and_accepted(counter, desk, quote_id)
    taken(bench)
    built(bench, desk, quote_id)

    counter.goto(f"{desk.origin}/desk/quotes/{quote_id}")
    keys = Keys(counter)
    keys.unfold("Hand over")
    keys.write("name", "The customer")
    keys.press("It is handed over")
    sound(counter)
    assert desk.read(f"/v1/quotes/{quote_id}")["status"] == "handed_over"

    owner.goto(f"{desk.origin}/desk/quotes/{quote_id}")
    sound(owner)
    events = desk.read(f"/v1/quotes/{quote_id}/events")["events"]
    by = {each["type"]: each["person"] for each in events}
    assert by["quote.issued"] is None
    assert by["quote.accepted"] == by["quote.handed_over"] == NAMES[Role.COUNTER]
    assert by["quote.in_work"] == by["quote.as_built"] == NAMES[Role.BENCH]


def asked(customer, desk, quote_id):
    """The customer asks by the page of their quotation."""
    customer.locator("#ask-words").fill("Can I collect it on Friday?")
    with customer.expect_navigation():
        customer.get_by_role("button", name="Send the question").click()
    assert len(desk.read(f"/v1/quotes/{quote_id}/questions")["questions"]) == 1


def answered(counter, desk, quote_id):
    """By keys alone, from what waits today."""
    counter.goto(f"{desk.origin}/desk")
    sound(counter)
    keys = Keys(counter)
    keys.press("Q-2026-000001")
    assert f"/desk/quotes/{quote_id}" in counter.url
    keys.write("words", "Yes, from noon on.")
    keys.press("Send the answer")
    (question,) = desk.read(f"/v1/quotes/{quote_id}/questions")["questions"]
    assert (question["answer"], question["by"]) == ("Yes, from noon on.", NAMES[Role.COUNTER])


def settled_and_accepted(counter, desk, quote_id):
    """By keys alone: every ask in turn, then the customer's yes by telephone."""
    counter.goto(f"{desk.origin}/desk/quotes/{quote_id}")
    sound(counter)
    keys, at = Keys(counter), f"/v1/quotes/{quote_id}"
    assert desk.read(f"{at}/settlements")["open"]
    for _ in range(20):
        if not desk.read(f"{at}/settlements")["open"]:
            break
        keys.write("words", "The customer read it again on the telephone: the same.")
        keys.press("Settle this")
    assert desk.read(f"{at}/settlements")["open"] == []
    sound(counter)
    keys.unfold("The customer accepts by telephone")
    keys.write("note", "By telephone: yes, go ahead.")
    keys.press("Accept for the customer")
    sound(counter)
    assert desk.read(at)["status"] == "accepted"


def taken(bench):
    """On the phone: what may be cut is planned, looked at and taken."""
    bench.goto(f"{bench.url.partition('/desk')[0]}/desk/bench")
    sound(bench)
    bench.locator("input[type=checkbox]").first.tap()
    with bench.expect_navigation():
        bench.get_by_role("button", name="Plan the cuts").tap()
    sound(bench)
    with bench.expect_navigation():
        bench.get_by_role("button", name="Take this wire").tap()
    sound(bench)
    assert bench.get_by_text(f"Taken by {NAMES[Role.BENCH]}").count() == 1


def built(bench, desk, quote_id):
    """Each assembly's sheet is opened by its tag, and its finished length typed in: as the sheet has it, it passes."""
    for each in desk.read(f"/v1/quotes/{quote_id}/bench-sheet")["assemblies"]:
        bench.goto(f"{desk.origin}/desk/bench")
        bench.locator("#code").fill(each["tag"])
        with bench.expect_navigation():
            bench.get_by_role("button", name="Open").tap()
        sound(bench)
        with bench.expect_navigation():
            bench.get_by_role("link", name="Type in what was measured").tap()
        bench.locator("#length").fill(f"{each['build']['finished']['length']['mm']} mm")
        for one in bench.locator("input[name$=_shank]").all():
            end = next(it for it in each["build"]["ends"] if f"{it['end']}_shank" == one.get_attribute("name"))
            one.fill(f"{end['gauge']['after_maximum']['mm']} mm")
        with bench.expect_navigation():
            bench.get_by_role("button", name="Judge and record").tap()
        sound(bench)
        assert bench.locator("#judged .big").inner_text() == "PASSED"

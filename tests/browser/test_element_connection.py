"""What can break on a dock: the connection, the page, the response to the final request. Nothing typed is lost, and no quote is made
twice."""

import re

from playwright.sync_api import expect

from tests.browser import boat
from tests.browser.test_element_wire import CAP, at_the_wires, field

PRICED = re.compile(r"For 1 complete wire")


def test_a_draft_survives_a_lost_connection_and_a_reload_and_can_be_forgotten(visit, quoting):
    visitor = at_the_wires(visit, quoting)
    page, context = visitor.page, visitor.page.context
    visitor.keyboard.press_button("Add a wire")
    context.set_offline(True)
    notice = page.locator("wire-quote-form .offline")
    expect(notice).to_contain_text("No connection")
    answers = boat.answers_of(CAP)
    while visitor.title() != "The length":
        visitor.keyboard.fill(answers)
    expect(page.locator("wire-quote-form .kept")).to_contain_text("Draft kept on this device")
    context.set_offline(False)
    page.reload()
    expect(page.locator("wire-quote-form .frame")).to_contain_text("Your draft was found")
    expect(page.locator("wire-quote-form .crumb")).to_have_text("Wire 1 of 1: CAP-P")
    expect(page.locator("wire-quote-form h2")).to_have_text("The length")
    visitor.keyboard.fill(answers)
    expect(page.locator("wire-quote-form h2")).to_have_text("Your wires")
    expect(page.locator("wire-quote-form .price")).to_contain_text(PRICED)
    visitor.keyboard.press_button("Forget this draft")
    page.keyboard.press("Enter")  # the question whether really
    expect(page.locator("wire-quote-form .frame")).to_contain_text("forgotten")
    kept = page.evaluate(
        "Object.entries(localStorage).filter(([name]) => !name.includes('description'))"
    )  # whose example is like the wire here
    assert "1 1/16 in" not in str(kept)


def test_without_a_connection_one_goes_on_and_the_price_follows_when_it_is_back(visit, quoting):
    visitor = at_the_wires(visit, quoting)
    visitor.page.context.set_offline(True)
    visitor.add(CAP, first=True)
    price = visitor.page.locator("wire-quote-form .price")
    expect(price).to_contain_text("No connection")
    visitor.look()
    visitor.page.context.set_offline(False)
    expect(price).to_contain_text(PRICED)
    expect(visitor.page.locator("wire-quote-form .frame")).to_contain_text("The connection is back")
    assert visitor.complaints == []


def test_an_answer_that_is_lost_makes_no_second_quote_even_over_a_reload(visit, quoting):
    visitor = at_the_wires(visit, quoting)
    page = visitor.page
    visitor.add(CAP, first=True)
    before, keys = quoting.numbers(), []

    def made_but_never_heard(route):
        keys.append(route.request.headers["idempotency-key"])
        if len(keys) == 1:
            route.fetch()
            route.abort()
        else:
            route.continue_()

    page.route(re.compile(r"/v1/quotes$"), made_but_never_heard)
    visitor.keyboard.press_button("Review")
    for path, value in boat.answers({"customer": boat.REQUEST["customer"]}).items():
        field(page, path).locator("input").fill(value)
    visitor.keyboard.press_button("Request a quote")
    expect(page.locator("wire-quote-form [role=status]", has_text="never makes two quotes")).to_be_visible()
    visitor.look()
    page.reload()
    page.locator("wire-quote-form .made").wait_for(timeout=180_000)
    assert len(set(keys)) == 1
    assert len(keys) == 2
    after = quoting.numbers()
    assert len(after) == len(before) + (before != [""])  # one more than before
    assert page.locator("wire-quote-form .made dd").first.inner_text() in after[0] + after[-1]
    assert visitor.complaints == []


def test_a_busy_service_is_asked_again_when_it_said(visit, quoting):
    visitor = at_the_wires(visit, quoting)
    page, times, room = visitor.page, [], []

    def busy(route):
        times.append(route)
        if room:
            return route.continue_()
        headers = {"Retry-After": "8", "Access-Control-Allow-Origin": quoting.shop.origin, "Access-Control-Expose-Headers": "Retry-After"}
        return route.fulfill(
            status=429, headers=headers, content_type="application/problem+json", body='{"status": 429, "detail": "busy", "errors": []}'
        )

    page.route(re.compile(r"/v1/quotes/preview$"), busy)
    visitor.add(CAP, first=True)
    expect(page.locator("wire-quote-form .price")).to_contain_text("the price follows in 8 s")
    before = len(times)  # what is typed meanwhile asks anew
    room.append(True)
    page.wait_for_timeout(1000)
    assert len(times) == before
    expect(page.locator("wire-quote-form .price")).to_contain_text(PRICED, timeout=180_000)
    assert len(times) == before + 1


def test_only_the_newest_preview_counts(visit, quoting):
    """What is typed while the older request is under way gives that one up; what is shown belongs to what was typed last."""
    visitor = at_the_wires(visit, quoting)
    page, asked = visitor.page, []
    visitor.add(CAP, first=True)
    expect(page.locator("wire-quote-form .price")).to_contain_text(PRICED)
    page.route(re.compile(r"/v1/quotes/preview$"), lambda route: (asked.append(route), route.continue_() if len(asked) > 1 else None))
    visitor.keyboard.press_button("Edit: CAP-P, Cap shroud, Port (left)")
    line = field(page, "turnbuckle.setting.upper_exposed").locator("input")
    line.fill("1 in")
    page.wait_for_timeout(900)
    line.fill("15/16 in")
    expect(page.locator("wire-quote-form .price:not(.stale)")).to_contain_text(PRICED)
    assert len(asked) >= 2  # a slow machine may ask for the values before, too
    assert '"upper_exposed":"15/16 in"' in asked[-1].request.post_data
    assert asked[0].request.failure == "net::ERR_ABORTED"


def test_where_the_page_loads_but_the_service_does_not_answer_one_goes_on_with_what_was_kept(visit, quoting):
    visitor = at_the_wires(visit, quoting)
    page = visitor.page
    visitor.keyboard.press_button("Add a wire")
    visitor.keyboard.fill({"place": "cap_shroud port", "unusual": "no", "turnbuckle_is": "none"})
    assert visitor.title() == "The wire"
    page.route(
        lambda url: url.startswith(quoting.service),
        lambda each: each.abort() if "/v1/" in each.request.url or each.request.method == "HEAD" else each.continue_(),
    )
    page.reload()
    expect(page.locator("wire-quote-form h2")).to_have_text("The wire")
    expect(page.locator("wire-quote-form .offline")).to_contain_text("No connection")
    page.unroute_all()
    expect(page.locator("wire-quote-form .frame")).to_contain_text("The connection is back", timeout=180_000)

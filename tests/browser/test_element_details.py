"""Address and further details: folded, opened by who wants delivery, and sent as the request has them; on a telephone."""

import json

import pytest
from playwright.sync_api import expect

from tests.browser.test_element_boat import Visitor
from tests.browser.test_element_wire import field

PHONE = {"width": 390, "height": 844}
FORM = "wire-quote-form"
ADDRESS = {"street": "3 Pelican Quay", "postal_code": "00000", "city": "Halfmoon Cove"}
ELSEWHERE = {"street": "1 Loft Lane", "postal_code": "00001", "city": "Tern Point"}


@pytest.fixture
def reviewing(visit, quoting):
    """`reviewing(...)`: somebody at the last page, with the example of the form."""

    def begin(**given):
        visitor = Visitor(visit(PHONE, **given), quoting.labels())
        visitor.page.get_by_role("button", name="Fill in the example").click()
        visitor.page.get_by_role("button", name="Review", exact=True).click()
        write(visitor.page, "customer.name", "Ada Example")
        write(visitor.page, "customer.email", "owner@example.org")
        return visitor

    return begin


def write(page, path, text):
    field(page, path).locator("input").fill(text)


def sent_by(page):
    """Press the button, and give the quote's request."""
    page.get_by_role("button", name="Request a quote").click()
    page.locator(f"{FORM} .made").wait_for()
    (sent,) = [each for each in page.seen["sent"] if each.method == "POST" and each.url.endswith("/v1/quotes")]
    return json.loads(sent.post_data)


def test_who_collects_sees_four_questions_and_unfolds_the_others_at_will(reviewing):
    visitor = reviewing(given='reference="ORDER-7"')
    page = visitor.page
    folded = page.locator(f"{FORM} details.folded")
    expect(folded.locator("summary")).to_have_text("Address and further details (optional)")
    expect(field(page, "customer.telephone")).to_be_hidden()
    folded.locator("summary").click()
    visitor.look()
    write(page, "customer.tax_number", "XX000000000")
    write(page, "customer.reference", "JOB 12")
    expect(field(page, "customer.delivery_address.street")).to_have_count(0)
    assert visitor.complaints == []
    said = sent_by(page)["customer"]
    assert said == {"name": "Ada Example", "email": "owner@example.org", "tax_number": "XX000000000", "reference": "ORDER-7; JOB 12"}


def test_who_wants_delivery_is_asked_where_to(reviewing):
    visitor = reviewing()
    page = visitor.page
    field(page, "delivery").get_by_label("Have it shipped").check()
    expect(page.locator(f"{FORM} details.folded > summary .optional")).to_be_hidden()
    expect(field(page, "customer.address.street").locator("input")).to_have_attribute("aria-required", "true")
    expect(field(page, "customer.address.street").locator(".optional")).to_be_hidden()
    expect(field(page, "customer.tax_number").locator(".optional")).to_be_visible()
    page.locator(f"{FORM} details.folded > summary").click()  # folded again by hand
    page.get_by_role("button", name="Request a quote").click()
    expect(page.locator(f"{FORM} .summary li")).to_have_count(4)  # street, postal code, town, telephone
    page.locator(f"{FORM} .summary button").last.click()
    expect(field(page, "customer.telephone").locator("input")).to_be_focused()
    visitor.look()
    for name, text in ADDRESS.items():
        write(page, f"customer.address.{name}", text)
    write(page, "customer.telephone", "+1 401 555 0142")
    write(page, "customer.delivery_address.city", ELSEWHERE["city"])
    page.get_by_role("button", name="Request a quote").click()
    expect(page.locator(f"{FORM} .summary")).to_contain_text("Write the whole address for delivery, or leave it out.")
    for name, text in ELSEWHERE.items():
        write(page, f"customer.delivery_address.{name}", text)
    assert visitor.complaints == []
    request = sent_by(page)
    assert request["delivery"] == "ship"
    assert request["customer"] == {
        "name": "Ada Example", "email": "owner@example.org", "telephone": "+1 401 555 0142", "address": ADDRESS, "delivery_address": ELSEWHERE,
    }  # fmt: skip

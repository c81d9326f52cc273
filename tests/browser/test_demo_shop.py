"""The demonstration shop as the one-command start prints it: opened, and a wire measured, priced and quoted by keyboard alone."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser import boat
from tests.browser.browsing import DESKTOP, complaints
from tests.browser.keyboard import Keyboard, labels_of
from tests.browser.shop_page import watched
from tests.service.test_server import free_port, started, stopped, wait_for

CAP = boat.REQUEST["assemblies"][0]
NARROWEST = {"width": 320, "height": 640}
LABELS = """() => {
  const element = document.querySelector('wire-quote-form');
  return fetch('/v1/form?lang=en', {headers: {Authorization: `Bearer ${element.publishableKey}`}}).then(each => each.json());
}"""


@pytest.fixture(scope="module")
def printed(tmp_path_factory):
    """What a start prints that has no key of its own."""
    folder, port = tmp_path_factory.mktemp("shop"), free_port()
    with (folder / "log").open("w") as log:
        server = started(folder, port, out=log, SERVICE_DEMO_KEY="")
        wait_for(server, port)
        yield (folder / "log").read_text()
        stopped(server)


@pytest.fixture
def opened(browser, printed):
    """`opened(size, lang)`: the page at the address that is printed first, once its form is there."""
    contexts = []

    def open_page(size=DESKTOP, lang="en"):
        contexts.append(browser.new_context(viewport=size, locale={"en": "en-US", "de": "de-DE"}[lang]))
        page = contexts[-1].new_page()
        page.seen, page.finished = watched(page), []
        page.on("requestfinished", lambda each: page.finished.append(each))  # one given up on its way, as an older preview is, has no body
        page.goto(re.search(r"http://\S+", printed)[0])
        page.locator("wire-quote-form h2").wait_for()
        return page

    yield open_page
    for context in contexts:
        context.close()


def amount(page):
    """The price so far."""
    return float(re.sub(r"[^\d.]", "", page.locator("wire-quote-form .price-total").inner_text()))


def looked(page):
    width = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    return [*complaints(page), *([f"{width} px too wide"] if width else [])]


def test_a_wire_is_quoted_on_the_page_that_is_printed_first(opened):
    page = opened()
    assert "Demonstration." in page.locator(".demo").first.inner_text()
    form = page.evaluate(LABELS)
    keyboard = Keyboard(page, labels_of(form))
    title, answers = page.locator("wire-quote-form h2"), boat.answers_of(CAP)
    keyboard.fill({})
    keyboard.press_button("Add a wire")
    while title.inner_text() != "The length":
        keyboard.fill(answers)
    price_follows_what_is_typed(page, keyboard, answers)
    keyboard.press_button("Continue")
    keyboard.press_button("Review")
    keyboard.fill({}, "Request a quote")
    asked = page.locator("wire-quote-form .summary")
    expect(asked).to_contain_text("Write your name")
    expect(asked).to_contain_text("Write your e-mail address")
    assert looked(page) == []
    keyboard.fill(boat.answers({"customer": boat.REQUEST["customer"]}), "Request a quote")
    page.locator("wire-quote-form .made").wait_for()
    assert looked(page) == []
    quotation_is_opened(page, keyboard)
    nothing_secret_was_sent(page)


def price_follows_what_is_typed(page, keyboard, answers):
    keyboard.tab_to("With the turnbuckle in it")
    page.keyboard.press("Space")
    image = page.locator('wire-quote-form [data-path="measured_from"] img')
    expect(image).to_be_visible()
    assert image.evaluate("each => each.decode().then(() => each.naturalWidth)") > 100
    keyboard.tab_to("Reading 1")
    page.keyboard.type(answers["measurement.readings"][0])
    keyboard.tab_to("Flat, pulled straight by hand")
    page.keyboard.press("Space")
    expect(page.locator("wire-quote-form .price-total")).to_contain_text("$")
    before = amount(page)
    page.locator('wire-quote-form [data-path="measurement.readings"] input').first.focus()
    page.keyboard.press("Control+a")
    page.keyboard.type("39 ft 10 3/16 in")
    expect(page.locator("wire-quote-form .price-total")).not_to_have_text(f"${before:.2f}")
    assert amount(page) > before  # ten feet more of wire


def quotation_is_opened(page, keyboard):
    number = page.locator("wire-quote-form .made dd").first.inner_text()
    keyboard.tab_to("Open your quotation (new window)")
    with page.context.expect_page() as new:
        page.keyboard.press("Enter")
    quotation = new.value
    quotation.wait_for_load_state()
    assert number in quotation.locator("body").inner_text()
    assert "CAP-P" in quotation.locator("body").inner_text()
    drawing = quotation.get_by_alt_text("Drawing of assembly CAP-P")
    assert drawing.evaluate("each => each.decode().then(() => each.naturalWidth)") > 100


def nothing_secret_was_sent(page):
    assert page.seen["complaints"] == []
    assert page.context.cookies() == []
    answers = [each.response() for each in page.finished]
    texts = [page.content(), page.evaluate("JSON.stringify(localStorage)")] + [
        each.text() for each in answers if each.status == 200 and "image" not in each.headers.get("content-type", "")
    ]
    assert any("wq_publishable_" in each for each in texts)
    assert not [each for each in texts if "wq_secret_" in each or "wq_demo_" in each]
    assert "token=" not in texts[1]


def test_the_page_is_german_clean_and_narrow_too(opened):
    page = opened(NARROWEST, "de")
    assert page.evaluate("document.documentElement.lang") == "de"
    expect(page.locator("wire-quote-form h2")).to_have_text("Ihr Boot")
    page.locator("summary", has_text="Kein Draht zur Hand").click()
    assert looked(page) == []
    page.locator("a", has_text="Das Formular ohne Skripte").first.click()
    expect(page.locator("h1")).to_have_text("Ihr Boot")  # under the same key, without any setting

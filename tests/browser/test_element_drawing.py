"""The wire as drawn so far beside the questions of the element: what it shows, what it leads to, and what becomes of it without the service."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser import boat
from tests.browser.browsing import DESKTOP
from tests.browser.test_element_wire import CAP, at_the_wires, field

PHONES = ({"width": 320, "height": 568}, {"width": 390, "height": 844})
SIZES = (*PHONES, DESKTOP)
DRAWINGS = re.compile(r"/v1/drawings")


def panel(page):
    return page.locator("wire-quote-form .drawn")


def part(page, pointer):
    return panel(page).locator(f'[data-pointer="{pointer}"]')


def begun(visit, quoting, size=DESKTOP, until="The length"):
    """A visitor who has answered everything about a cap shroud, as far as this page."""
    visitor = at_the_wires(visit, quoting, size)
    visitor.keyboard.press_button("Add a wire")
    answers = boat.answers_of(CAP)
    while visitor.title() != until:
        visitor.keyboard.fill(answers)
    expect(panel(visitor.page).locator("svg")).to_be_visible()
    return visitor


@pytest.mark.parametrize("size", SIZES, ids=lambda each: str(each["width"]))
def test_it_changes_with_the_answers_and_axe_has_nothing_against_it(visit, quoting, size):
    visitor = at_the_wires(visit, quoting, size)
    page = visitor.page
    expect(panel(page)).to_be_hidden()  # there is no wire yet
    visitor.keyboard.press_button("Add a wire")
    expect(part(page, "/upper/terminal")).to_have_attribute("aria-label", "Upper end: not told yet.")
    assert part(page, "/turnbuckle/body").count() == 0
    field(page, "turnbuckle_is").get_by_label("Open, I keep it").check()
    expect(part(page, "/turnbuckle/body")).to_have_attribute("aria-label", re.compile("Turnbuckle"))
    visitor.look()
    field(page, "turnbuckle.setting.upper_exposed").locator("input").focus()
    expect(part(page, "/turnbuckle/setting/upper_exposed")).to_have_attribute("aria-label", re.compile("This is asked for now"))
    expect(panel(page).locator("line.s-mark")).to_have_count(3)  # two edges of the thread, and the dimension between them
    field(page, "turnbuckle.setting.upper_exposed").locator("input").fill("1 1/8 in")
    expect(part(page, "/turnbuckle/setting/upper_exposed")).to_contain_text("1 1/8 in")
    visitor.look()
    assert visitor.complaints == []
    assert page.seen["complaints"] == []


@pytest.mark.parametrize("size", SIZES, ids=lambda each: str(each["width"]))
def test_the_length_is_asked_between_the_places_that_the_datums_name(visit, quoting, size):
    visitor = begun(visit, quoting, size)
    page = visitor.page
    field(page, "measured_from").get_by_label("With the turnbuckle in it").check()
    heard = panel(page).locator("p.unseen")
    expect(heard).to_contain_text("To here: Toggle, the wall of the pin hole farthest from the wire.")
    assert panel(page).locator("svg").get_attribute("aria-describedby") == heard.get_attribute("id")
    words = panel(page).locator("text.s-here")
    expect(words).to_have_text(["from here", "to here"])
    field(page, "measured_from").get_by_label("The wire without its turnbuckle").check()
    expect(heard).to_contain_text("To here: Stud, swaged, the last thread.")
    visitor.look()
    assert visitor.complaints == []


@pytest.mark.parametrize("size", PHONES, ids=lambda each: str(each["width"]))
def test_on_a_telephone_it_stays_in_view_and_hides_nothing_that_has_the_focus(visit, quoting, size):
    """WCAG 2.2, 2.4.11: the focus is not hidden, even in part."""
    visitor = begun(visit, quoting, size)
    page = visitor.page
    for line in page.locator("wire-quote-form .questions").locator("input, select").all():
        line.focus()
        line.scroll_into_view_if_needed()
        drawn, box = panel(page).bounding_box(), line.bounding_box()
        assert drawn["y"] + drawn["height"] > 0
        assert box["y"] >= drawn["y"] + drawn["height"] - 1 or box["y"] + box["height"] <= drawn["y"] + 1, line.get_attribute("id")
    readings = field(page, "measurement.readings").locator("input").first
    readings.focus()
    assert panel(page).bounding_box()["y"] == pytest.approx(0, abs=1)
    assert panel(page).bounding_box()["height"] < 0.6 * size["height"]
    panel(page).locator("summary").click()
    expect(panel(page).locator("svg")).to_be_hidden()
    assert panel(page).bounding_box()["height"] < 80


@pytest.mark.parametrize("size", SIZES, ids=lambda each: str(each["width"]))
def test_a_tap_on_a_part_leads_to_its_questions(visit, quoting, size):
    page = begun(visit, quoting, size).page
    for pointer, title, path in (
        ("/upper/terminal", "The upper end", "upper.terminal"),
        ("/turnbuckle/setting/lower_exposed", "Before you take it off", "turnbuckle.setting.lower_exposed"),
        ("/wire/construction", "The wire", "wire_kind"),
    ):
        part(page, pointer).locator(".hit").click()
        expect(page.locator("wire-quote-form h2")).to_have_text(title)
        expect(field(page, path).locator("input, select").first).to_be_visible()
        held = page.evaluate("document.querySelector('wire-quote-form').shadowRoot.activeElement.closest('.field').dataset.path")
        assert held == path


def test_a_keyboard_reaches_each_part_by_arrows_from_one_stop(visit, quoting):
    page = begun(visit, quoting).page
    assert panel(page).locator("[tabindex='0']").count() == 1
    part(page, "/upper/terminal").focus()
    seen = [page.evaluate("document.querySelector('wire-quote-form').shadowRoot.activeElement.dataset.pointer")]
    for _ in range(20):
        page.keyboard.press("ArrowDown")
        at = page.evaluate("document.querySelector('wire-quote-form').shadowRoot.activeElement.dataset.pointer")
        if at == seen[-1]:
            break
        seen.append(at)
    assert seen == [
        "/upper/terminal", "/wire/construction", "/lower/terminal", "/turnbuckle/setting/upper_exposed", "/turnbuckle/body",
        "/turnbuckle/setting/lower_exposed", "/turnbuckle/lower_end",
    ]  # fmt: skip
    page.keyboard.press("End")
    page.keyboard.press("Enter")
    expect(page.locator("wire-quote-form h2")).to_have_text("The lower end")


def test_without_the_service_the_last_drawing_stays_and_it_is_said(visit, quoting):
    visitor = begun(visit, quoting, until="The wire")
    page = visitor.page
    expect(part(page, "/wire/construction")).to_have_attribute("aria-label", re.compile("This is asked for now"))
    page.route(DRAWINGS, lambda route: route.abort())
    before = panel(page).locator("svg").inner_html()
    field(page, "wire_kind").get_by_label("Seven strands (7x7)").check()
    expect(panel(page).locator("p.hint")).to_be_visible()
    expect(panel(page).locator("p.hint")).to_contain_text("your latest answers are not in this drawing")
    assert panel(page).locator("svg").inner_html() == before
    visitor.look()
    page.unroute_all()
    expect(panel(page).locator("text", has_text="7x7")).to_be_visible(timeout=180_000)
    expect(panel(page).locator("p.hint")).to_be_hidden()
    assert visitor.complaints == []


def test_a_busy_service_is_asked_again_when_it_said(visit, quoting):
    page, times = begun(visit, quoting, until="The wire").page, []

    def busy(route):
        times.append(route)
        if len(times) > 1:
            return route.continue_()
        headers = {"Retry-After": "1", "Access-Control-Allow-Origin": quoting.shop.origin, "Access-Control-Expose-Headers": "Retry-After"}
        return route.fulfill(status=429, headers=headers, content_type="application/problem+json", body="{}")

    page.route(DRAWINGS, busy)
    field(page, "wire_kind").get_by_label("Seven strands (7x7)").check()
    expect(panel(page).locator("text", has_text="7x7")).to_be_visible()
    assert len(times) == 2


def test_what_a_shape_may_not_be_is_not_built(visit, quoting):
    """The service's answer is taken as words and numbers: nothing in it can become another element or a script."""
    page = begun(visit, quoting, until="The wire").page
    evil = {
        "view_box": [0, 0, 240, 200], "says": "<img src=x onerror=alert(1)>", "unknown": [],
        "parts": [{"pointer": "/upper/terminal", "says": "<b>", "known": True, "asked": False, "box": [1, 2, 30, 40]}],
        "shapes": [
            {"shape": "script", "class": "ink", "text": "window.hurt = 1"}, {"shape": "path", "class": "ink", "d": "M1 1 url(javascript:1)"},
            {"shape": "text", "class": "label", "x": 1, "y": 9, "size": 9, "anchor": "start", "room": 9, "text": "<script>window.hurt = 1</script>", "part": 0},
        ],
    }  # fmt: skip
    page.route(DRAWINGS, lambda route: route.fulfill(json=evil, headers={"Access-Control-Allow-Origin": quoting.shop.origin}))
    field(page, "wire_kind").get_by_label("Seven strands (7x7)").check()
    expect(panel(page).locator("text")).to_have_count(1)
    expect(panel(page).locator("text")).to_have_text("<script>window.hurt = 1</script>")
    assert panel(page).locator("script, img, b").count() == 0
    assert panel(page).locator("path").get_attribute("d") == ""
    assert page.evaluate("window.hurt") is None


def test_a_browser_without_storage_and_two_tabs_with_one_draft_draw_all_the_same(visit, quoting):
    page = begun(visit, quoting, until="The wire").page
    other = page.context.new_page()
    other.goto(quoting.shop.origin)
    expect(panel(other).locator("svg")).to_be_visible()
    field(other, "wire_kind").get_by_label("Seven strands (7x7)").check()
    expect(panel(page).locator("text", has_text="7x7")).to_be_visible()  # the first tab takes up what the second one wrote
    bare = page.context.browser.new_context()
    try:
        without = bare.new_page()
        without.add_init_script(
            "Object.defineProperty(window, 'localStorage', {get() { throw new DOMException('denied', 'SecurityError') }})"
        )
        without.goto(quoting.shop.origin)
        without.get_by_role("button", name="Continue").click()
        without.get_by_role("button", name="Add a wire").click()
        expect(panel(without).locator("svg")).to_be_visible()
    finally:
        bare.close()

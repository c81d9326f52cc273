"""The rig to tap on, in the element and in the plain form: by finger, by keyboard, and without scripts."""

import pytest
from playwright.sync_api import expect

from tests.browser import boat
from tests.browser.browsing import PHONE, complaints
from tests.browser.test_element_wire import CAP, at_the_wires, field
from tests.browser.test_plain_form_page import served  # noqa: F401  # the fixture
from tests.service.conftest import engine  # noqa: F401  # the fixture

NARROWEST = {"width": 320, "height": 640}
FINGER = 44  # px
HIT = """(inputs) => inputs.map((each) => {
  each.scrollIntoView({block: 'center'});
  const {x, y, width, height} = each.getBoundingClientRect();
  const hit = each.getRootNode().elementFromPoint(x + width / 2, y + height / 2);
  return [width, height, hit === each];
})"""


def rig(page):
    return field(page, "place").locator(".tapped")


@pytest.mark.parametrize("size", [NARROWEST, PHONE], ids=lambda each: str(each["width"]))
def test_one_tap_names_the_wire_and_every_place_is_large_enough_for_a_finger(visit, quoting, size):
    visitor = at_the_wires(visit, quoting, size)
    page = visitor.page
    visitor.keyboard.press_button("Add a wire")
    spots = rig(page).locator(".spot input")
    expect(spots).to_have_count(18)  # a click does not wait for what it brings
    found = spots.evaluate_all(HIT)
    assert [each for each in found if each[0] < FINGER or each[1] < FINGER or not each[2]] == []
    visitor.look()
    page.get_by_role("radio", name="Lower, starboard", exact=True).click()
    expect(page.locator("wire-quote-form .crumb")).to_contain_text("LOW-S")
    name = rig(page).get_by_text("Lower, starboard", exact=True)
    name.scroll_into_view_if_needed()
    expect(name).to_be_in_viewport(ratio=0.9)
    expect(rig(page).locator("path.s-chosen")).to_have_count(1)
    expect(field(page, "role")).to_have_count(0)  # the place says it
    visitor.look()
    page.get_by_role("radio", name="Another wire, or one more of these").click()
    expect(field(page, "role")).to_be_visible()
    assert visitor.complaints == []
    assert page.seen["complaints"] == []


def test_by_arrows_the_wires_are_one_group_of_which_each_has_its_name(visit, quoting):
    visitor = at_the_wires(visit, quoting)
    visitor.keyboard.press_button("Add a wire")
    first = visitor.keyboard.press("Tab")
    while first["path"] != "place":
        first = visitor.keyboard.press("Tab")
    names = [first["name"], *(visitor.keyboard.press("ArrowDown")["name"] for _ in range(18))]
    assert len(set(names)) == 19
    assert names[:2] == ["Cap shroud, port", "Cap shroud, starboard"]
    assert names[-1] == "Another wire, or one more of these"
    assert visitor.keyboard.press("Tab")["path"] != "place"


def test_the_same_on_the_other_side_is_offered_where_the_wire_is_chosen(visit, quoting):
    visitor = at_the_wires(visit, quoting, PHONE)
    page = visitor.page
    visitor.add(CAP, first=True)
    visitor.keyboard.press_button("Add another wire")
    alike = page.get_by_role("button", name="The same as CAP-P, on the other side")
    page.get_by_role("radio", name="Forestay", exact=True).click()
    expect(alike).to_be_hidden()
    page.get_by_role("radio", name="Cap shroud, starboard", exact=True).click()
    visitor.look()
    alike.click()
    expect(page.locator("wire-quote-form .crumb")).to_contain_text("Wire 2 of 2: CAP-S")
    fields = page.locator("wire-quote-form .field")
    assert fields.evaluate_all("each => each.map(one => one.dataset.path)") == [
        "alike", "turnbuckle.setting.upper_exposed", "turnbuckle.setting.lower_exposed",
    ]  # fmt: skip
    starboard = next(each for each in boat.REQUEST["assemblies"] if each["tag"] == "CAP-S")
    while visitor.title() != "Your wires":
        visitor.keyboard.fill(boat.answers_of(starboard))
    expect(page.locator("wire-quote-form .wire")).to_have_count(2)
    assert visitor.complaints == []


@pytest.mark.parametrize("width", [320, 1280])
def test_without_scripts_the_same_rig_is_tapped_and_a_part_of_the_drawing_leads_to_its_questions(served, show, width):  # noqa: F811
    _, address = served
    page = show(f"{address}?lang=en", viewport={"width": width, "height": 700}, scripts=False)
    page.locator("button.main").click()
    spots = page.locator(".tapped .spot input")
    expect(spots).to_have_count(18)
    found = spots.evaluate_all(HIT)
    assert [each for each in found if each[0] < FINGER or each[1] < FINGER or not each[2]] == []
    page.get_by_role("radio", name="Backstay", exact=True).click()
    name = page.locator(".tapped").get_by_text("Backstay", exact=True)
    name.scroll_into_view_if_needed()
    expect(name).to_be_in_viewport(ratio=0.9)
    assert complaints(page) == []
    page.get_by_role("button", name="Upper end: not told yet.").click()
    expect(page.locator("h1")).to_have_text("The upper end")
    expect(page.locator(".hint b")).to_have_text("BACKSTAY")
    assert complaints(page) == []


def test_where_there_is_room_the_drawing_of_a_plain_page_stays_in_view(served, show):  # noqa: F811
    _, address = served
    page = show(f"{address}?lang=en", viewport={"width": 1280, "height": 700}, scripts=False)
    with page.expect_navigation():
        page.locator("button.main").click()
    page.bring_to_front()  # a page behind others is not painted
    page.evaluate("scrollTo(0, 400)")
    assert page.evaluate("scrollY") >= 100
    expect(page.locator(".drawn svg")).to_be_in_viewport(ratio=0.9)


def test_a_lifeline_has_a_forward_and_an_after_end_on_every_page_and_at_the_review(visit, quoting):
    visitor = at_the_wires(visit, quoting, PHONE)
    page = visitor.page
    lifeline = next(each for each in boat.REQUEST["assemblies"] if each["tag"] == "LIFE-LOW-P")
    seen = visitor.add(lifeline, first=True)
    assert seen == ["Before you take it off", "The wire", "The forward end", "The after end", "The length"]
    visitor.keyboard.press_button("Review")
    page.locator("wire-quote-form summary", has_text="Answers").click()
    headings = page.locator("wire-quote-form .reviewed h4").all_inner_texts()
    assert headings == seen


def test_what_is_asked_already_is_worded_for_the_wire_that_is_tapped(visit, quoting):
    visitor = at_the_wires(visit, quoting)
    page = visitor.page
    visitor.keyboard.press_button("Add a wire")
    unusual, live = field(page, "unusual").locator(".hint").first, page.locator("wire-quote-form .live")
    expect(unusual).to_contain_text("a turnbuckle at the top; another mast")
    expect(live).to_have_text("place still missing")
    page.get_by_role("radio", name="Upper lifeline, starboard").click()
    expect(unusual).to_contain_text("a turnbuckle at the forward end")
    expect(unusual).not_to_contain_text("mast")
    expect(live).to_have_text("first details still missing")  # not its place, which is told

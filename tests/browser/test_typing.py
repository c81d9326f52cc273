"""Typing at a telephone: what lacks a unit is offered back, the price stays in view, and nothing moves under a finger."""

from playwright.sync_api import expect

from tests.browser import boat
from tests.browser.browsing import complaints
from tests.browser.test_element_wire import CAP, at_the_wires, field

PHONE = {"width": 390, "height": 844}
LOWER = "turnbuckle.setting.lower_exposed"
LIVE = "wire-quote-form .live"


def begun(visit, quoting, *, until):
    """A visitor at that section of the cap shroud, all before it answered."""
    visitor = at_the_wires(visit, quoting, PHONE)
    visitor.keyboard.press_button("Add a wire")
    while visitor.title() != until:
        visitor.keyboard.fill(boat.answers_of(CAP))
    return visitor


def typed(visitor, path, text, place=0):
    line = field(visitor.page, path).locator("input").nth(place)
    line.fill(text)
    return line


def test_the_first_length_decides_in_which_units_a_number_is_offered_back(visit, quoting):
    """29 ft 10 1/4 in = 358.25 in, at 25.4 mm exactly: 9099.55 mm."""
    visitor = begun(visit, quoting, until="Before you take it off")
    page, upper = visitor.page, "turnbuckle.setting.upper_exposed"
    visitor.keyboard.fill({**boat.answers_of(CAP), upper: "8,4", LOWER: "8,4"})
    told = field(page, upper)
    expect(told.locator(".fault")).to_contain_text("write '8,4 mm', '8,4 m' or '8,4 in', whichever is meant")
    expect(told.locator(".offers button")).to_have_text(["8,4 mm?", "8,4 m?", "8,4 in?"])  # no length is known yet
    typed(visitor, upper, "1 1/8 in")
    lower = typed(visitor, LOWER, "29 10 1/4")
    lower.press("Tab")
    offered = field(page, LOWER).locator(".offers button")
    expect(offered).to_have_text(["29 ft 10 1/4 in?"])
    assert lower.input_value() == "29 10 1/4"  # nothing is taken by itself
    page.evaluate("scrollTo(0, 0)")  # what lies under the bar or the drawing is no target meanwhile
    assert complaints(page) == []
    offered.tap() if page.evaluate("navigator.maxTouchPoints") else offered.click()
    expect(lower).to_have_value("29 ft 10 1/4 in")
    expect(lower).to_be_focused()
    expect(field(page, LOWER).locator(".echo")).to_contain_text("9099.6 mm")
    expect(offered).to_have_count(0)


def test_of_two_readings_the_one_that_lacks_its_unit_is_completed(visit, quoting):
    visitor = begun(visit, quoting, until="The length")
    page, path = visitor.page, "measurement.readings"
    typed(visitor, path, "29 ft 10 1/4")  # a number after feet is of inches
    typed(visitor, path, "29 10 3/8", 1).press("Tab")
    expect(field(page, path).locator(".echo")).to_contain_text("9099.6 mm")
    page.keyboard.press("Tab")
    offered = field(page, path).locator(".offers button")
    expect(offered).to_have_text(["29 ft 10 3/8 in?"])
    offered.focus()
    page.keyboard.press("Enter")
    lines = field(page, path).locator("input")
    expect(lines.nth(1)).to_have_value("29 ft 10 3/8 in")
    expect(lines.nth(0)).to_have_value("29 ft 10 1/4")


def test_the_price_is_in_view_on_a_telephone_and_covers_nothing(visit, quoting):
    visitor = begun(visit, quoting, until="The length")
    page, live = visitor.page, visitor.page.locator(LIVE)
    expect(live).to_have_text("length still missing")
    page.evaluate("scrollTo(0, 0)")
    expect(live).to_be_in_viewport()
    visitor.keyboard.fill(boat.answers_of(CAP), go=False)
    covered = page.evaluate("""() => {
      const root = document.querySelector('wire-quote-form').shadowRoot, each = root.activeElement.getBoundingClientRect(), bar = root.querySelector('.live').getBoundingClientRect();
      return each.bottom > bar.top && each.top < bar.bottom;
    }""")
    assert not covered
    expect(live).to_contain_text("For 1 complete wire, with tax")
    expect(live).to_contain_text("$")
    page.evaluate("scrollTo(0, 0)")
    expect(live).to_be_in_viewport(ratio=0.99)
    box = live.bounding_box()
    assert box["height"] < 0.1 * PHONE["height"]
    page.evaluate("scrollTo(0, document.documentElement.scrollHeight)")
    below = page.locator("wire-quote-form .foot").bounding_box()
    assert live.bounding_box()["y"] >= below["y"] + below["height"]  # it has a place of its own in the page
    expect(live).to_be_in_viewport(ratio=0.99)
    assert complaints(page) == []


TOPS = """() => [...document.querySelector('wire-quote-form').shadowRoot.querySelectorAll('.field, .page button[type=submit]')].map(each => Math.round(each.getBoundingClientRect().top + scrollY))"""


def test_nothing_moves_while_a_length_is_typed_and_understood(visit, quoting):
    visitor = begun(visit, quoting, until="The length")
    page, path = visitor.page, "measurement.readings"
    page.locator("wire-quote-form .drawing img").first.wait_for()  # the tape: the units are known from the screws
    page.evaluate("document.querySelector('wire-quote-form').shadowRoot.querySelector('.drawn').open = false")
    before = page.evaluate(TOPS)
    line = field(page, path).locator("input").first
    line.focus()
    page.keyboard.type("29 ft 10 1/4 in")
    expect(field(page, path).locator(".echo")).to_contain_text("9099.6 mm")
    assert page.evaluate(TOPS) == before
    page.keyboard.press("Control+a")
    page.keyboard.type("29 x")
    line.blur()
    expect(field(page, path).locator(".fault")).to_be_visible()
    after = page.evaluate(TOPS)
    place = page.evaluate(
        f"""() => [...document.querySelector('wire-quote-form').shadowRoot.querySelectorAll('.field')].findIndex(each => each.dataset.path === '{path}')"""
    )
    assert after[: place + 1] == before[: place + 1]  # what is wrong is told below: its field, and all above it, stand where they stood


def test_the_picture_stays_beside_a_length_that_lacks_its_unit(visit, quoting):
    """Were it to slip below, the next line would leave the screen under the finger that is about to type in it."""
    visitor = begun(visit, quoting, until="Before you take it off")
    page, path = visitor.page, "turnbuckle.setting.upper_exposed"
    visitor.keyboard.fill(boat.answers_of(CAP), go=False)
    line, picture = field(page, path).locator("input"), field(page, path).locator(".drawing img")
    left = line.bounding_box()["x"]
    typed(visitor, path, "1 1/8").press("Tab")
    expect(field(page, path).locator(".offers button")).to_have_text(["1 1/8 in?"])
    box, beside = line.bounding_box(), picture.bounding_box()
    assert box["x"] == left
    assert beside["x"] > box["x"] + box["width"]


def test_what_a_finger_is_on_stays_there_until_it_is_up(visit, quoting):
    """The fault of the line that is left would push down the button that is being pressed."""
    visitor = begun(visit, quoting, until="The length")
    page, path = visitor.page, "measurement.readings"
    line = typed(visitor, path, "29 ft nonsense that cannot be read as a length of any kind at all", 0)
    line.focus()
    fault = field(page, path).locator(".fault")
    below = page.locator("wire-quote-form .actions button", has_text="All wires")
    below.scroll_into_view_if_needed()
    box = below.bounding_box()
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.down()
    page.wait_for_timeout(700)  # longer than the service takes, and than a field waits before it complains
    assert below.bounding_box() == box
    page.mouse.up()
    expect(page.locator("wire-quote-form h2")).to_have_text("Your wires")
    assert fault.count() == 0


def test_the_example_is_filled_in_with_one_tap_and_has_its_price(visit, quoting):
    page = visit(PHONE)
    page.get_by_role("button", name="Fill in the example of an invented boat").click()
    expect(page.locator("wire-quote-form h2")).to_have_text("Your wires")
    expect(page.locator("wire-quote-form .wires")).to_contain_text("Cap shroud")
    live = page.locator(LIVE)
    expect(live).to_contain_text("For 1 complete wire, with tax")
    expect(live).to_be_in_viewport(ratio=0.99)
    assert page.get_by_role("button", name="Fill in the example").count() == 0
    assert complaints(page) == []

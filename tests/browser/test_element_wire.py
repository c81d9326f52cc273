"""One wire on the shop's page: owners' mistakes are reported where they were typed, with what to do."""

import json

import pytest
from playwright.sync_api import expect

from tests.browser import boat
from tests.browser.browsing import DESKTOP, complaints
from tests.browser.test_element_boat import Visitor

CAP, FORESTAY = boat.REQUEST["assemblies"][0], boat.REQUEST["assemblies"][4]
PHONE = {"width": 320, "height": 640}


def at_the_wires(visit, quoting, size=DESKTOP):
    visitor = Visitor(visit(size), quoting.labels())
    visitor.keyboard.fill({})
    return visitor


def field(page, path):
    return page.locator(f'wire-quote-form [data-path="{path}"]')


def without(assembly, *path):
    """A copy without what stands at the path."""
    copy = json.loads(json.dumps(assembly))
    inner = copy
    for step in path[:-1]:
        inner = inner[step]
    del inner[path[-1]]
    return copy


def changed(assembly, value, *path):
    copy = json.loads(json.dumps(assembly))
    inner = copy
    for step in path[:-1]:
        inner = inner[step]
    inner[path[-1]] = value
    return copy


def test_a_lost_slash_is_told_at_its_field_with_the_remedy_and_going_on_takes_one_there(visit, quoting):
    visitor = at_the_wires(visit, quoting, PHONE)
    page = visitor.page
    visitor.keyboard.press_button("Add a wire")
    visitor.keyboard.fill(boat.answers_of(changed(CAP, "11 16 in", "turnbuckle", "setting", "upper_exposed")))
    summary = page.locator("wire-quote-form .summary")
    expect(summary).to_be_focused()
    expect(summary).to_contain_text("11/16")
    told = field(page, "turnbuckle.setting.upper_exposed")
    expect(told.locator(".fault")).to_contain_text("may have lost a slash")
    line = told.locator("input")
    expect(line).to_have_attribute("aria-invalid", "true")
    assert told.locator(".fault").get_attribute("id") in line.get_attribute("aria-describedby").split()
    visitor.look()
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")  # the summary's entry
    expect(line).to_be_focused()
    page.keyboard.press("Control+a")
    page.keyboard.type("11/16 in")
    expect(told.locator(".echo")).to_contain_text("17.5 mm")  # 11/16 x 25.4 = 17.4625
    expect(told.locator(".fault")).to_be_hidden()
    assert visitor.complaints == []


def test_what_is_missing_is_told_and_nothing_is_lost(visit, quoting):
    visitor = at_the_wires(visit, quoting)
    visitor.keyboard.press_button("Add a wire")
    visitor.keyboard.fill({})
    expect(visitor.page.locator("wire-quote-form .summary h3")).to_have_text(
        "There are 3 problems"
    )  # which wire, whether anything is unusual, and which turnbuckle is on it


def test_measured_to_the_pins_centre_is_said_at_the_datum_and_drawn(visit, quoting):
    visitor = at_the_wires(visit, quoting)
    visitor.keyboard.press_button("Add a wire")
    answers, seen = boat.answers_of(FORESTAY), []
    while visitor.title() != "The length":
        seen.append(visitor.title())
        visitor.keyboard.fill(answers)
    assert seen[-1] == "What it joins on the boat"  # where it ends comes before how long it is
    field(visitor.page, "measured_from").get_by_label("From or to another point of a fitting").check()
    image = field(visitor.page, "measurement.upper_datum").locator("img")
    expect(image).to_have_attribute("src", f"{quoting.service}/v1/form/illustrations/fork-bearing?lang=en")
    field(visitor.page, "measurement.upper_datum").get_by_label("The centre of the pin").check()
    expect(image).to_have_attribute("src", f"{quoting.service}/v1/form/illustrations/fork-pin_centre?lang=en")
    expect(image).to_be_visible()
    assert image.evaluate("each => each.decode().then(() => each.naturalWidth)") > 100


def test_a_forgotten_second_setting_is_told_at_its_field_with_the_remedy(visit, quoting):
    visitor = at_the_wires(visit, quoting, PHONE)
    page = visitor.page
    visitor.keyboard.press_button("Add a wire")
    visitor.keyboard.fill(boat.answers_of(without(CAP, "turnbuckle", "setting", "lower_exposed")))
    told = field(page, "turnbuckle.setting.lower_exposed")
    expect(told.locator(".fault")).to_contain_text("Measure this one, too, before anything is unscrewed")
    expect(told.locator("input")).to_have_attribute("aria-invalid", "true")
    visitor.look()
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")  # the summary's entry
    expect(told.locator("input")).to_be_focused()
    page.keyboard.type("0 mm")  # none shows: that is an answer
    expect(told.locator(".fault")).to_be_hidden()
    visitor.keyboard.press_button("Continue")
    expect(page.locator("wire-quote-form h2")).to_have_text("The wire")
    assert visitor.complaints == []


def test_no_setting_at_all_is_found_at_the_settings_while_typing(visit, quoting):
    visitor = at_the_wires(visit, quoting)
    visitor.add(without(without(CAP, "turnbuckle", "setting", "lower_exposed"), "turnbuckle", "setting", "upper_exposed"), first=True)
    page = visitor.page
    expect(page.locator("wire-quote-form .wire .state")).to_contain_text("Cannot be made")
    visitor.keyboard.press_button("Edit: CAP-P, Cap shroud, Port (left)")
    found = page.locator('wire-quote-form [data-path^="turnbuckle.setting."] .finding.stop')
    expect(found.first).to_be_visible()
    expect(found.first.locator(".remedy")).not_to_be_empty()
    visitor.look()
    field(page, "turnbuckle.setting.upper_exposed").locator("input").type("1 1/8 in")
    field(page, "turnbuckle.setting.lower_exposed").locator("input").type("1 1/16 in")
    expect(page.locator("wire-quote-form .finding.stop")).to_have_count(0)
    assert visitor.complaints == []


def test_the_other_sides_wire_is_asked_its_own_settings_and_readings(visit, quoting):
    visitor = at_the_wires(visit, quoting)
    visitor.add(CAP, first=True)
    visitor.keyboard.press_button("Copy to starboard: CAP-P, Cap shroud, Port (left)")
    page = visitor.page
    assert page.locator("wire-quote-form .crumb").inner_text() == "Wire 2 of 2: CAP-S"
    asked = page.locator("wire-quote-form .field")
    assert [each.get_attribute("data-path") for each in asked.all()] == [
        "alike",
        "turnbuckle.setting.upper_exposed",
        "turnbuckle.setting.lower_exposed",
    ]
    for path in ("turnbuckle.setting.upper_exposed", "turnbuckle.setting.lower_exposed"):
        assert field(page, path).locator("input").input_value() == ""
    visitor.keyboard.fill({"alike": "same"})
    assert visitor.title() == "The length"
    assert [each.input_value() for each in field(page, "measurement.readings").locator("input").all()] == ["", ""]


def test_the_questions_are_asked_in_german_too(visit):
    page = visit(PHONE, "de")
    expect(page.locator("wire-quote-form h2")).to_have_text("Ihr Boot")
    page.get_by_role("button", name="Weiter").click()
    page.get_by_role("button", name="Draht hinzufügen").click()
    assert page.locator("wire-quote-form .frame").get_attribute("lang") == "de"
    assert complaints(page) == []


@pytest.mark.parametrize("typed", ["owner", "owner@"])
def test_an_address_that_is_none_is_told_at_once(visit, quoting, typed):
    visitor = at_the_wires(visit, quoting)
    visitor.add(CAP, first=True)
    visitor.keyboard.press_button("Review")
    visitor.keyboard.fill({"customer.email": typed}, "Request a quote")
    expect(field(visitor.page, "customer.email").locator(".fault")).to_contain_text("owner@example.org")
    expect(field(visitor.page, "customer.name").locator(".fault")).to_contain_text("Write your name")


def test_what_the_engine_finds_is_said_in_german_before_its_english_words(visit, quoting):
    visitor = at_the_wires(visit, quoting)
    page = visitor.page
    visitor.keyboard.press_button("Add a wire")
    answers = boat.answers_of(changed(CAP, ["9100 mm", "9180 mm"], "measurement", "readings"))  # 80 mm apart: no tape does that
    while visitor.title() != "The length":
        visitor.keyboard.fill(answers)
    visitor.keyboard.fill(answers)
    assert visitor.title() == "Your wires"
    quoting.shop.show(quoting.service, quoting.key, "de")
    page.reload()
    page.locator("wire-quote-form h2", has_text="Ihre Drähte").wait_for()
    page.locator("wire-quote-form button", has_text="Prüfen").click()
    finding = page.locator("wire-quote-form .finding", has_text="Messen Sie").first
    finding.wait_for()
    expect(finding.locator("span").first).to_contain_text("80,0 mm")  # 9180 - 9100
    assert complaints(page) == []

"""A press under way when the service responds: the resulting changes to the page lose neither the click nor the key press."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser import boat
from tests.browser.test_element_wire import CAP, at_the_wires

NAME = "CAP-P, Cap shroud, Port (left)"
PREVIEW = re.compile(r"/v1/quotes/preview$")


@pytest.fixture
def waiting(visit, quoting):
    """A visitor at the list of wires, one of them complete, whose price is held back; `answer` lets it come, and waits until it is on the page."""
    visitor = at_the_wires(visit, quoting)
    page, held, holding = visitor.page, [], True
    visitor.keyboard.press_button("Add a wire")
    answers = boat.answers_of(CAP)
    while visitor.title() != "The length":
        visitor.keyboard.fill(answers)

    def hold(route):
        held.append(route) if holding else route.continue_()

    page.route(PREVIEW, hold)
    visitor.keyboard.fill(answers)
    state = page.locator("wire-quote-form .wire .state")
    expect(state).to_have_text("Complete")

    def answer():
        nonlocal holding
        holding = False
        for route in held:
            route.continue_()  # a request that was given up for a newer one does no harm
        expect(state).not_to_have_text("Complete")

    return visitor, answer


def button(page, name):
    return page.locator(f'wire-quote-form .wire button[aria-label="{name}: {NAME}"]')


def test_a_click_that_began_before_the_answer_is_one(waiting):
    visitor, answer = waiting
    box = button(visitor.page, "Edit").bounding_box()
    visitor.page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    visitor.page.mouse.down()
    answer()
    visitor.page.mouse.up()
    expect(visitor.page.locator("wire-quote-form .crumb")).to_contain_text("CAP-P")


def test_a_space_bar_that_went_down_before_the_answer_presses_the_button(waiting):
    visitor, answer = waiting
    visitor.keyboard.tab_to(f"Edit: {NAME}")
    visitor.page.keyboard.down("Space")
    answer()
    visitor.page.keyboard.up("Space")
    expect(visitor.page.locator("wire-quote-form .crumb")).to_contain_text("CAP-P")


def test_a_button_that_asks_once_more_goes_on_asking_when_the_answer_comes(waiting):
    visitor, answer = waiting
    visitor.keyboard.press_button(f"Remove: {NAME}")
    answer()
    visitor.page.keyboard.press("Enter")  # really
    expect(visitor.page.locator("wire-quote-form .wires")).to_contain_text("No wire yet")

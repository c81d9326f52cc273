"""A boat of two wires through the plain form by keyboard alone, with scripts off, to its quotation: at a desk, and at the narrowest width
that WCAG requires."""

import pytest

from tests.browser import boat
from tests.browser.browsing import DESKTOP, complaints
from tests.browser.plain_keyboard import PlainKeyboard
from tests.browser.test_plain_form_page import NARROWEST, served  # noqa: F401  # the fixture
from tests.service.conftest import engine  # noqa: F401  # the fixture

PORT, STARBOARD = boat.REQUEST["assemblies"][:2]
UPPER, LOWER = "turnbuckle.setting.upper_exposed", "turnbuckle.setting.lower_exposed"
SENDER = boat.answers({"customer": boat.REQUEST["customer"]})
STEPS = ["before", "wire", "upper", "lower", "length"]


class Looking(PlainKeyboard):
    """Notes what axe has against every page on the way, and what is too wide."""

    def __init__(self, page):
        super().__init__(page)
        self.complaints = []

    def look(self):
        title = self.page.locator("h1").inner_text()
        width = self.page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        self.complaints += [f"{title}: {each}" for each in complaints(self.page)] + ([f"{title}: {width} px too wide"] if width else [])

    def wire(self, answers, *, look=True):
        """Every step of a wire; their names."""
        steps = []
        while self.step() != "review":
            if look:
                self.look()
            steps.append(self.fill_step(answers))
        return steps

    def fault_at(self, path):
        """What is said at a field; its field names the words."""
        words = self.page.locator(f'[id="f-{path}"]')
        assert words.get_attribute("id") in self.page.locator(f'[id="q-{path}"]').get_attribute("aria-describedby").split()
        return words.inner_text()


@pytest.mark.parametrize("viewport", [pytest.param(DESKTOP, marks=pytest.mark.long), NARROWEST], ids=["desk", "narrowest"])
def test_a_boat_is_quoted_by_keyboard_alone(show, served, viewport):  # noqa: F811
    person = Looking(show(served[1], viewport))
    page = person.page
    person.look()
    person.fill_step(boat.answers({"boat": boat.REQUEST["boat"], "display_units": "imperial"}))
    forgets_the_second_setting_and_loses_a_slash(person, boat.answers_of(PORT))
    assert person.wire(boat.answers_of(PORT)) == STEPS
    person.look()
    person.press_button("copy-0")
    person.wire(boat.answers_of(STARBOARD), look=False)
    person.look()
    assert page.locator("main").inner_text().count("Can be made from these numbers.") == 2
    asks_for_a_name_and_an_address(person)
    person.fill(SENDER, None)
    person.enter()  # in a field: it requests the quote
    assert "Q-2026-000001" in page.locator("body").inner_text()
    assert "Ada Example" in page.locator("body").inner_text()
    assert person.complaints == []


def forgets_the_second_setting_and_loses_a_slash(person, answers):
    person.fill({path: answers[path] for path in ("place", "unusual", "turnbuckle_is")})
    assert person.step() == "before"  # which raised more questions
    person.fill({UPPER: "11/16 in"})
    assert "Measure this one, too, before anything is unscrewed" in person.fault_at(LOWER)
    assert person.focused()["id"] == "summary"
    person.look()
    person.fill({UPPER: "11 16 in", LOWER: "5/8 in"})
    assert "11/16" in person.fault_at(UPPER)
    person.look()


def asks_for_a_name_and_an_address(person):
    person.fill({"customer.email": "owner"}, "send")
    assert "Write your name" in person.fault_at("customer.name")
    assert "owner@example.org" in person.fault_at("customer.email")
    person.look()

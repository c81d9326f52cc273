"""A whole boat through the shop's page, by keyboard alone: at a desk, on a telephone, and at the narrowest width that WCAG requires."""

import json

import pytest

from tests.browser import boat
from tests.browser.browsing import DESKTOP, complaints
from tests.browser.keyboard import Keyboard
from tests.counts import some_of

SIZES = some_of([DESKTOP, {"width": 390, "height": 844}, {"width": 320, "height": 640}], 1)
LOOKED_AT_CLOSELY = some_of(("CAP-P", "CAP-S", "FORESTAY"), 1)


class Visitor:
    """Somebody at a keyboard, who notes what axe has against every page on the way."""

    def __init__(self, page, labels):
        self.page, self.keyboard, self.complaints = page, Keyboard(page, labels), []

    def title(self):
        return self.page.locator("wire-quote-form h2").inner_text()

    def look(self):
        self.page.evaluate("scrollTo(0, 0)")  # what slides under the drawing that stays in view is no target meanwhile
        found = complaints(self.page)
        width = self.page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        self.complaints += [f"{self.title()}: {each}" for each in found] + ([f"{self.title()}: {width} px too wide"] if width else [])

    def begin(self, request):
        self.look()
        self.keyboard.fill(boat.answers({name: request[name] for name in ("boat", "display_units")}))
        self.look()

    def add(self, assembly, *, first, look=False):
        if assembly["tag"] in boat.COPIES:
            side = {"port": "port", "starboard": "starboard"}[assembly["side"]]
            name = self.page.locator("wire-quote-form .wire button", has_text=f"Copy to {side}").last.get_attribute("aria-label")
        else:
            name = "Add a wire" if first else "Add another wire"
        self.keyboard.press_button(name)
        answers, seen = boat.answers_of(assembly), []
        while self.title() != "Your wires":
            seen.append(self.title())
            assert len(seen) < 9, seen
            self.keyboard.fill(answers)
            assert self.title() != seen[-1], self.page.locator("wire-quote-form .summary").inner_text()
            if look:
                self.look()
        return seen


@pytest.mark.parametrize("size", SIZES, ids=lambda each: str(each["width"]))
def test_a_boat_of_eight_wires_is_quoted_by_keyboard_alone(visit, quoting, size):
    page = visit(size)
    visitor = Visitor(page, quoting.labels())
    visitor.begin(boat.REQUEST)
    for place, assembly in enumerate(boat.REQUEST["assemblies"]):
        seen = visitor.add(assembly, first=place == 0, look=assembly["tag"] in LOOKED_AT_CLOSELY)
        assert (seen[0], seen[-1]) == ("Before you take it off", "The length")  # what afterwards nobody can tell comes first
        if assembly["tag"] in boat.COPIES:
            assert len(seen) == 2  # only what is asked anew
    page.locator("wire-quote-form .price", has_text="For 8 complete wires").wait_for()
    visitor.look()
    visitor.keyboard.press_button("Review")
    visitor.look()
    visitor.keyboard.fill(boat.answers({"customer": boat.REQUEST["customer"]}), "Request a quote")
    page.locator("wire-quote-form .made").wait_for()
    visitor.look()
    assert visitor.complaints == []
    assert page.seen["complaints"] == []
    sent = [each for each in page.seen["sent"] if each.method == "POST" and each.url.endswith("/v1/quotes")]
    assert len(sent) == 1
    assert json.loads(sent[0].post_data) == {
        "language": "en",
        **{name: value for name, value in boat.REQUEST.items() if name != "delivery"},
    }
    check_what_came_out(page, sent[0].response().json())


def check_what_came_out(page, quote):
    shown = page.locator("wire-quote-form .made").inner_text()
    assert quote["number"] in shown
    assert quote["totals"]["payable"] in shown.replace(",", "")
    name, detail = next(each for each in page.evaluate("window.heard") if each[0] == "quote-created")
    assert (name, detail["id"], detail["number"]) == ("quote-created", quote["id"], quote["number"])
    assert page.context.cookies() == []
    assert page.evaluate("document.cookie") == ""
    kept = page.evaluate("JSON.stringify(localStorage)")
    assert "wq_secret_" not in page.content() + kept
    assert "Ada Example" not in kept  # once quoted nothing personal is left in the browser
    assert "token=" not in kept

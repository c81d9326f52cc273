"""How much the form asks of an owner with a phone: `python tests/benchmarks/form_count.py`. Not a test.

Questions, screens of 390 x 844 and words of README's cap shroud, of its copy to the other side, and of a boat of eight wires (three pairs and two
stays), page by page as the element shows them, each page once it is filled in. What stands above and below a page (the shop's own) is not counted, nor
the words of a list that is not opened. The cap shroud's temperature is not told: it changes nothing, since wire and tape are both of steel.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path
from typing import Any, NamedTuple

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
from playwright.sync_api import Page  # noqa: E402

from tests.browser import boat  # noqa: E402
from tests.browser.browsing import chromium  # noqa: E402
from tests.browser.keyboard import Keyboard  # noqa: E402
from tests.browser.shop_page import served  # noqa: E402

PHONE = {"width": 390, "height": 844}
SEEN = """() => {
  const page = document.querySelector('wire-quote-form').shadowRoot.querySelector('.page');
  const fields = [...page.querySelectorAll('.field')].filter(each => each.offsetParent !== null);
  const seen = each => each.matches('option:not(:checked), .unseen, .full-name') || getComputedStyle(each).clipPath === 'inset(50%)' ? '' : each.tagName === 'text' ? each.textContent : each.childElementCount === 0 ? each.innerText ?? '' : [...each.childNodes].map(one => one.nodeType === 3 ? one.data : one.nodeType === 1 && one.checkVisibility({visibilityProperty: true}) || one.tagName === 'OPTION' ? seen(one) : '').join(' ');
  return [fields.length, page.getBoundingClientRect().height, seen(page).split(/\\s+/).filter(each => /\\p{L}/u.test(each)).length];
}"""


class Count(NamedTuple):
    """Of some pages: how many there are, questions, height in px, words."""

    pages: int = 0
    questions: int = 0
    height: float = 0
    words: int = 0

    def plus(self, other: Count) -> Count:
        """Both together."""
        return Count(*(one + two for one, two in zip(self, other, strict=True)))

    def __str__(self) -> str:
        return f"{self.questions:4} questions, {self.pages:3} pages, {self.height / PHONE['height']:5.1f} screens, {self.words:5} words"


class Owner:
    """Somebody who fills in the form, counted."""

    def __init__(self, page: Page, labels: dict[str, Any]) -> None:
        self.page, self.keyboard = page, Keyboard(page, labels)

    def filled(self, answers: dict[str, Any], button: str = "Continue") -> Count:
        """The page as it is once it is filled in, and on to the next."""
        self.keyboard.fill(answers, button, go=False)
        questions, height, words = self.page.evaluate(SEEN)
        self.keyboard.go_on()
        return Count(1, questions, height, words)

    def wire(self, assembly: dict[str, Any], button: str) -> Count:
        """Every page of a wire."""
        self.keyboard.press_button(button)
        found = Count()
        while (title := self.page.locator("wire-quote-form h2").inner_text()) != "Your wires":
            found = found.plus(self.filled(boat.answers_of(assembly)))
            assert found.pages < 12, title
        return found

    def copy_button(self, side: str) -> str:
        """What the button is called that copies the latest wire to that side."""
        return str(self.page.locator("wire-quote-form .wire button", has_text=f"Copy to {side}").last.get_attribute("aria-label"))


def counted(owner: Owner) -> dict[str, Count]:
    """Each wire by its tag; `boat` is what is asked once."""
    cap, _, _, _, forestay, *_ = boat.REQUEST["assemblies"]
    del cap["measurement"]["temperature"], forestay["lower"]["links"], forestay["measurement"]["upper_datum"]
    once = owner.filled(boat.answers({name: boat.REQUEST[name] for name in ("boat", "display_units")}))
    found = {}
    for place, assembly in enumerate(boat.REQUEST["assemblies"]):
        button = owner.copy_button(assembly["side"]) if assembly["tag"] in boat.COPIES else "Add another wire" if place else "Add a wire"
        found[assembly["tag"]] = owner.wire(assembly, button)
    owner.keyboard.press_button("Review")
    owner.keyboard.fill({"delivery": "collect", **boat.answers({"customer": boat.REQUEST["customer"]})}, "Request a quote", go=False)
    last = Count(1, owner.page.evaluate(SEEN)[0])  # the list of what was answered is no question
    return {**found, "boat": once.plus(last)}


def main() -> None:
    """Print the counts."""
    with tempfile.TemporaryDirectory() as folder, served(Path(folder)) as quoting, chromium() as browser:
        page = browser.new_page(viewport=PHONE, locale="en-US")
        page.goto(quoting.shop.origin)
        page.locator("wire-quote-form h2").first.wait_for()
        found = counted(Owner(page, quoting.labels()))
    for name, each in found.items():
        print(f"{name:10} {each}")
    whole = Count()
    for each in found.values():
        whole = whole.plus(each)
    print(f"{'all':10} {whole}")


if __name__ == "__main__":
    main()

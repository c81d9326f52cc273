"""Fills in the plain form by keyboard alone: Tab, arrows, Space, Enter and typing, in a browser with scripts off."""

FOCUSED = """() => {
  const each = document.activeElement;
  const chosen = each.tagName === 'SELECT' ? each.value : null;
  return {tag: each.tagName, type: each.type ?? '', name: each.name ?? '', value: each.value ?? '', checked: each.checked ?? false, chosen, id: each.id};
}"""
MOST = 200
WORDS = {True: "yes", False: "no"}


class PlainKeyboard:
    """Somebody at the plain form."""

    def __init__(self, page):
        self.page = page

    def focused(self):
        return self.page.evaluate(FOCUSED)

    def press(self, key):
        self.page.keyboard.press(key)
        return self.focused()

    def step(self):
        return self.page.locator("input[name=step]").get_attribute("value")

    def press_button(self, button):
        """On by Tab to the button of that value, and Enter."""
        for _ in range(MOST):
            found = self.press("Tab")
            if found["tag"] == "BUTTON" and found["value"] == button:
                return self.enter()
        raise AssertionError(f"no way by Tab to {button!r}")

    def enter(self):
        with self.page.expect_navigation():
            self.page.keyboard.press("Enter")

    def fill(self, answers, button="next"):
        """Answer what is asked on this page from where the focus stands, and go on by its button; None: stay on the last field."""
        left = {path: list(value) if isinstance(value, list) else [value] for path, value in answers.items()}
        found = self.focused()
        for _ in range(MOST):
            if left.get(found["name"]) and found["tag"] in ("INPUT", "SELECT", "TEXTAREA"):
                self.answer(found, left[found["name"]].pop(0))
                if button is None and not any(left.values()):
                    return None
            if found["tag"] == "BUTTON" and found["value"] == button:
                return self.enter()
            found = self.press("Tab")
        raise AssertionError(f"no way by Tab to {button!r}; not answered: {left}")

    def fill_step(self, answers):
        """The same, again where an answer raised more questions on the page; the names of the steps left behind."""
        step = self.step()
        for _ in range(4):
            self.fill(answers)
            if self.step() != step:
                return step
        raise AssertionError(f"{step} is not left: {self.page.locator('#summary').inner_text()}")

    def answer(self, found, value):
        wanted = WORDS.get(value, value) if isinstance(value, bool) else value
        if found["type"] == "radio":
            self.choose(found, wanted)
        elif found["tag"] == "SELECT":
            self.select(wanted)
        else:
            self.page.keyboard.press("Control+a")
            self.page.keyboard.type(wanted)

    def choose(self, found, wanted):
        name = found["name"]
        for _ in range(20):
            if found["value"] == wanted:
                if not found["checked"]:
                    self.page.keyboard.press("Space")
                return
            found = self.press("ArrowDown")
        raise AssertionError(f"{name} does not offer {wanted!r}")

    def select(self, wanted):
        found = self.press("Home")
        for _ in range(60):
            if found["chosen"] == wanted:
                return
            found = self.press("ArrowDown")
        raise AssertionError(f"{found['name']} does not offer {wanted!r}")

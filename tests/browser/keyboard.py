"""Fills in the form's element by keyboard alone: Tab, arrows, Space, Enter and typing, as its focus goes."""

FOCUSED = """() => {
  const each = document.querySelector('wire-quote-form').shadowRoot.activeElement;
  if (!each) return null;
  const field = each.closest('.field');
  const name = each.getAttribute('aria-label') ?? (each.labels?.[0] ?? each).textContent;
  const chosen = each.tagName === 'SELECT' ? each.options[each.selectedIndex]?.textContent : null;
  return {tag: each.tagName, type: each.type ?? '', name: name.trim(), path: field?.dataset.path ?? '', checked: each.checked ?? false, chosen};
}"""
SHADOW = "document.querySelector('wire-quote-form').shadowRoot"
MOST = 150


def labels_of(form):
    """What each choice of a description is called: {path: {value: label}}."""
    return {
        each["path"]: {**(form["sizes"] if "from" in each else {}), **{one["value"]: one["label"] for one in each.get("choices", [])}}
        for each in form["questions"]
    }


class Keyboard:
    """`labels` names each choice: {path: {value: label}}."""

    def __init__(self, page, labels):
        self.page, self.labels = page, labels

    def focused(self):
        return self.page.evaluate(FOCUSED)

    def press(self, key):
        self.page.keyboard.press(key)
        return self.focused()

    def tab_to(self, name):
        """Tab on until what has the focus is called so."""
        for _ in range(MOST):
            found = self.press("Tab")
            if found and found["name"] == name:
                return
        raise AssertionError(f"no way by Tab to {name!r}")

    def press_button(self, name):
        self.tab_to(name)
        self.page.keyboard.press("Enter")

    def fill(self, answers, button="Continue", *, go=True):
        """Answer what is asked on this page, and go on by its button; without `go` stay at the button."""
        left = {path: list(value) if isinstance(value, list) else [value] for path, value in answers.items()}
        for _ in range(MOST):
            found = self.press("Tab")
            if found is None:
                continue
            if found["path"] and left.get(found["path"]) and found["name"] != "Add a reading":
                self.answer(found, left[found["path"]].pop(0))
            elif found["name"] == "Add a reading" and left.get(found["path"]):
                self.page.keyboard.press("Enter")
                self.answer(self.focused(), left[found["path"]].pop(0))
            elif found["name"] == button:
                if go:
                    self.go_on()
                return
        raise AssertionError(f"no way by Tab to {button!r}; not answered: {left}")

    def go_on(self):
        """Enter, until another page is there, or a list of problems."""
        self.page.evaluate(f"window.left = {SHADOW}.querySelector('h2')")
        self.page.keyboard.press("Enter")
        self.page.wait_for_function(f"() => !window.left.isConnected || {SHADOW}.querySelector('.summary:not([hidden])')", polling=100)

    def answer(self, found, value):
        label = self.labels.get(found["path"], {}).get(value, value)
        if found["type"] == "radio":
            self.choose(found, label)
        elif found["tag"] == "SELECT":
            self.select(found, label)
        else:
            self.page.keyboard.press("Control+a")
            self.page.keyboard.type(value)

    def choose(self, found, label):
        for _ in range(20):
            if found["name"] == label:
                if not found["checked"]:
                    self.page.keyboard.press("Space")
                return
            found = self.press("ArrowDown")
        raise AssertionError(f"{found['path']} does not offer {label!r}")

    def select(self, found, label):
        found = self.press("Home")
        for _ in range(60):
            if found["chosen"] == label:
                return
            found = self.press("ArrowDown")
        raise AssertionError(f"{found['path']} does not offer {label!r}")

"""Walking through the plain form as a browser without scripts does: reads the page's fields, fills some in, presses a button."""

from __future__ import annotations

import re
from html.parser import HTMLParser

from flask.testing import FlaskClient
from werkzeug.test import TestResponse

SENDER = {"customer__name": "Pelican Reach Sailing School", "customer__email": "office@pelican-reach.example"}


class Page(HTMLParser):
    """The fields of a page with their values, its buttons, and its text."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.html = html
        self.values: dict[str, list[str]] = {}
        self.offered: dict[str, list[str]] = {}
        self.buttons: list[str] = []
        self._select = self._area = ""
        self.text = ""
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        name, value = told.get("name", ""), told.get("value", "")
        if tag == "button":
            self.buttons.append(value)
        elif tag == "select":
            self._select = name
        elif tag == "option" and self._select:
            self.offered.setdefault(self._select, []).append(value)
            if "selected" in told:
                self.values[self._select] = [value]
        elif tag == "textarea":
            self._area = name
        elif tag == "input" and told.get("type") == "radio":
            self.offered.setdefault(name, []).append(value)
            if "checked" in told:
                self.values[name] = [value]
        elif tag == "input":
            self.values.setdefault(name, []).append(value)

    def handle_endtag(self, tag: str) -> None:
        if tag == "select":
            self._select = ""
        elif tag == "textarea":
            self._area = ""

    def handle_data(self, data: str) -> None:
        self.text += " " + data
        if self._area:
            self.values[self._area] = [data]

    @property
    def asked(self) -> list[str]:
        """The questions of the page."""
        return [each for each in self.values["asked"][0].split(",") if each]


class Visitor:
    """Somebody at the form."""

    def __init__(self, client: FlaskClient, language: str = "en") -> None:
        self.client = client
        self.answer: TestResponse = client.get(f"/form?lang={language}")
        assert self.answer.status_code == 200, self.answer.json
        self.page = Page(self.answer.text)

    def press(self, button: str, **written: str | list[str]) -> Page:
        """Fill in fields (with `__` for the dots) and press a button; gives the page that comes."""
        values: dict[str, list[str]] = dict(self.page.values)
        for name, value in written.items():
            path = name.replace("__", ".")
            assert path in self.page.asked, (path, self.page.asked)
            for one in [value] if isinstance(value, str) else value:
                assert path not in self.page.offered or one in self.page.offered[path], (path, one, self.page.offered[path])
            values[path] = [value] if isinstance(value, str) else value
        assert button in self.page.buttons, (button, self.page.buttons)
        self.answer = self.client.post("/form", data={**values, "go": button})
        if self.answer.status_code in (200, 422):
            self.page = Page(self.answer.text)
        return self.page

    def send(self, **written: str | list[str]) -> Page:
        """Request the quote, as somebody who can be answered."""
        return self.press("send", **{**SENDER, **written})

    @property
    def step(self) -> str:
        """The step that is shown."""
        return self.page.values["step"][0]


_OWN = "what-each-visit-has-of-its-own"
#: Reviews that were walked to, by all that they came from.
_WALKED: dict[tuple[str, ...], str] = {}


def cap_shroud(visitor: Visitor, *, tag: str = "CAP-P", lower_exposed: str = "1 1/16 in", reading: str = "29 ft 10 3/16 in") -> None:
    """From the first page to the review with one cap shroud: tee above, stud in a kept turnbuckle below.

    The way is gone once for the same tables, first page and answers; who comes after stands at the same review, as a visitor of their own.
    """
    draft = visitor.page.values["draft"][0]
    once = re.search('"once": ?"([^"]+)"', draft)
    assert once, draft
    tables = visitor.client.application.extensions["catalogues"].current().etag
    key = tables, visitor.page.html.replace(once[1], ""), tag, lower_exposed, reading
    if key not in _WALKED:
        walk_to_review(visitor, tag=tag, lower_exposed=lower_exposed, reading=reading)
        _WALKED[key] = visitor.page.html.replace(once[1], _OWN)
    visitor.page = Page(_WALKED[key].replace(_OWN, once[1]))


def walk_to_review(visitor: Visitor, *, tag: str = "CAP-P", lower_exposed: str = "1 1/16 in", reading: str = "29 ft 10 3/16 in") -> None:
    """The same, page by page."""
    visitor.press("next", boat__name="Wagtail", boat__length_overall="27 ft 6 in", display_units="imperial")
    begun(visitor, tag=tag)
    visitor.press(
        "next", turnbuckle__setting__upper_exposed="1 1/8 in", turnbuckle__setting__lower_exposed=lower_exposed, read_with="caliper"
    )
    rest_of_it(visitor, reading)


def begun(visitor: Visitor, *, tag: str = "CAP-P") -> None:
    """The cap shroud's first page, as far as it does not depend on the turnbuckle; with a name of its own if it is to have another."""
    which = {"place": "cap_shroud port"} if tag == "CAP-P" else {"place": "other"}
    visitor.press("next", **which, unusual="no", turnbuckle_is="open kept")
    if tag != "CAP-P":
        visitor.press("check", role="cap_shroud", side="port", tag=tag)


def forestay(visitor: Visitor) -> Page:
    """A forestay's first page."""
    return visitor.press("next", place="forestay centre", unusual="no", turnbuckle_is="none")


def rest_of_it(visitor: Visitor, reading: str) -> None:
    """From the wire on."""
    visitor.press("next", wire_kind="1x19 | 316", wire__diameter="3/16 in")
    visitor.press("next", upper__terminal="tee")
    visitor.press("next", lower__terminal="stud")
    visitor.press("next", lower__attachment="swage", lower__screw="3/8-24 UNF | right")
    visitor.press("next", turnbuckle__lower_outer="toggle | 3/8 in")
    visitor.press("next", measurement__readings=[reading, reading, ""], measured_from="whole", laid="flat")
    if visitor.step == "length":  # a kept turnbuckle counts as it was measured
        visitor.press("next", turnbuckle__dimensions__body="4 in", turnbuckle__dimensions__runout="1 1/4 in")

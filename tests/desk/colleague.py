"""One of the shop's people at the desk, with a browser without scripts: signs in by a link, follows links, fills in forms."""

from __future__ import annotations

from typing import Any
from urllib.parse import urljoin
from xml.etree.ElementTree import Element

import html5lib
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from service.auth.sessions import COOKIE
from service.credentials.people import Person, Role
from service.storage import Staff

XHTML = "{http://www.w3.org/1999/xhtml}"
BROWSER = {"Accept": "text/html,application/xhtml+xml,*/*;q=0.8", "Sec-Fetch-Site": "same-origin"}
HOST = "http://localhost"
NAMES = {Role.COUNTER: "Cora Counterpin", Role.BENCH: "Benno Benchley", Role.OWNER: "Olga Ownerby"}  # invented


class Colleague:
    """`reply`: the last one; `page`: its elements, if it is a page."""

    def __init__(self, app: Flask, role: Role, language: str = "en", name: str = "") -> None:
        self.staff: Staff = app.extensions["staff"]
        self.client = FlaskClient(app, app.response_class)
        self.language, self.at = language, "/desk"
        self._reply: TestResponse | None = None
        self._text = ""
        self._page: Element | None = None
        self.person: Person = self.staff.add(name or NAMES[role], role)
        form = {"link": self.staff.make_link(self.person.id)}
        assert self.client.post("/desk/sign-in", data=form, headers=self._headers()).status_code == 303  # not to look at Today each time

    def sign_in(self) -> TestResponse:
        """By a new link."""
        self.go(f"/desk/sign-in?link={self.staff.make_link(self.person.id)}")
        return self.press("Sign in" if self.language == "en" else "Anmelden")

    @property
    def cookie(self) -> str:
        """The session's cookie, empty without one."""
        found = self.client.get_cookie(COOKIE, path="/desk")
        return found.value if found else ""

    def go(self, address: str) -> TestResponse:
        """Open an address as it stands in the page; a redirection is followed."""
        self.at = urljoin(self.at, address)
        return self._shown(self.client.get(self.at.partition("#")[0], headers=self._headers()))

    def _headers(self) -> dict[str, str]:
        return {**BROWSER, "Accept-Language": self.language}

    def _shown(self, reply: TestResponse) -> TestResponse:
        if reply.status_code == 303:
            return self.go(reply.headers["Location"])
        self._reply = reply
        if reply.mimetype == "text/html":
            self._text, self._page = reply.get_data(as_text=True), None
        return reply

    @property
    def reply(self) -> TestResponse:
        """The last reply; first of all that of Today."""
        return self._reply or self.go("/desk")

    @property
    def page(self) -> Element:
        """The elements of the last page."""
        if self._page is None:
            self._page = html5lib.parse(self._text or self.reply.get_data(as_text=True))
        return self._page

    def forms(self, button: str) -> list[tuple[Element, Element]]:
        """The page's forms that have a button of this text, with the button."""
        return [
            (form, each)
            for form in self.page.iter(f"{XHTML}form")
            for each in form.iter(f"{XHTML}button")
            if _text(each) == button
        ]  # fmt: skip

    def prepared(self, button: str, place: int = 0, **written: Any) -> tuple[str, dict[str, Any]]:
        """Where the form with a button goes, and what it sends once this is written."""
        found = self.forms(button)
        assert found, (button, [_text(each) for each in self.page.iter(f"{XHTML}button")])
        form, pressed = found[place]
        fields = fields_of(form)
        unknown = written.keys() - fields.keys()
        assert not unknown, (unknown, sorted(fields))
        own = {pressed.get("name", ""): pressed.get("value", "")} if pressed.get("name") else {}
        return urljoin(self.at, form.get("action", "") or self.at), {**fields, **written, **own}

    def press(self, button: str, place: int = 0, **written: Any) -> TestResponse:
        """Fill in a form and press its button; a redirection is followed. `place`: which, if several have such a button."""
        return self.send(*self.prepared(button, place, **written))

    def send(self, to: str, fields: dict[str, Any], **headers: str) -> TestResponse:
        """The same for what was prepared. `headers`: with underscores for hyphens, in place of the browser's own."""
        sent = {key: value for key, value in fields.items() if value is not None}
        others = {name.replace("_", "-"): value for name, value in headers.items()}
        self.at = to
        return self._shown(self.client.post(to, data=sent, headers={**self._headers(), "Origin": HOST, **others}))

    @property
    def text(self) -> str:
        """What a reader reads, spaces made one."""
        (body,) = self.page.findall(f"{XHTML}body")
        return _text(body)

    def links(self) -> list[str]:
        """Where the page leads, from the server's root."""
        return [urljoin(self.at, each.get("href", "")) for each in self.page.iter(f"{XHTML}a") if not each.get("href", "").startswith("#")]


def fields_of(form: Element) -> dict[str, Any]:
    """What a form sends as it stands, as a browser would; unticked boxes and unchosen radios are None."""
    found: dict[str, Any] = {}
    for each in form.iter():
        name, kind = each.get("name", ""), each.get("type", "text")
        if not name or each.tag == f"{XHTML}button":
            continue
        if each.tag == f"{XHTML}textarea":
            found[name] = "".join(each.itertext())
        elif each.tag == f"{XHTML}select":
            offered = list(each.iter(f"{XHTML}option"))
            chosen = [one for one in offered if one.get("selected") is not None] or offered[:1]
            found[name] = chosen[0].get("value", _text(chosen[0])) if chosen else None
        elif kind in ("checkbox", "radio"):
            if each.get("checked") is not None:
                found[name] = each.get("value", "on")
            else:
                found.setdefault(name, None)
        elif name in found and kind in ("text", "hidden"):  # several of one name, such as readings
            found[name] = [*(found[name] if isinstance(found[name], list) else [found[name]]), each.get("value", "")]
        else:
            found[name] = each.get("value", "")
    return found


def _text(of: Element) -> str:
    return " ".join("".join(of.itertext()).split())

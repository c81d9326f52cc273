"""A day at the desk in real browsers: a customer, and three people of an invented shop, each with a browser of their own."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from flask import Flask
from werkzeug.serving import make_server

from service.app import create_app
from service.credentials.keys import Kind
from service.credentials.people import Role
from service.engine.engine import Engine
from service.settings import Settings
from service.storage import Quotes, migrate
from tests.service.conftest import DAY, KEY
from tests.service.holders import kept_key
from tests.service.plain_form import Visitor, cap_shroud

PHONE, SCREEN = {"width": 390, "height": 844}, {"width": 1280, "height": 900}
NAMES = {Role.COUNTER: "Cora Counterpin", Role.BENCH: "Benno Benchley", Role.OWNER: "Olga Ownerby"}  # invented
FOCUSED = "document.activeElement.innerText || document.activeElement.name || ''"
MOST = 300


class Desk:
    """A shop at work on a port of this machine."""

    def __init__(self, app: Flask, origin: str) -> None:
        self.app, self.origin = app, origin
        self.staff = app.extensions["staff"]

    def requested(self) -> tuple[str, str]:
        """A customer requests a cap shroud by the form, with a note that the shop must settle: the quote's id, and where the customer reads it."""
        visitor = Visitor(self.app.test_client())
        cap_shroud(visitor)
        visitor.send(request__note="The mast was raised by a plank last year.")
        link = visitor.answer.headers["Location"]
        return link.split("/v1/quotes/")[1].partition("?")[0], link

    def signed_in(self, browser: Any, role: Role, viewport: dict[str, int], language: str = "en") -> Any:
        """Someone's page, signed in by a link."""
        person = next((each for each in self.staff.every() if each.name == NAMES[role]), None) or self.staff.add(NAMES[role], role)
        context = browser.new_context(viewport=viewport, locale={"en": "en-US", "de": "de-DE"}[language], has_touch=viewport is PHONE)
        context.set_default_timeout(180_000)
        page = context.new_page()
        page.scripts = True
        page.goto(f"{self.origin}/desk/sign-in?link={self.staff.make_link(person.id)}")
        with page.expect_navigation():
            page.locator("button.main").click()
        return page

    def read(self, path: str) -> Any:
        """What the API says, to a program."""
        answer = self.app.test_client().get(path, headers={"Authorization": f"Bearer {KEY}"})
        assert answer.status_code == 200, answer.json
        return answer.json


@contextmanager
def shop_at_work(engine: Engine, folder: Path) -> Iterator[Desk]:
    """The demo shop with its desk, for as long as the block lasts."""
    quotes = Quotes(f"sqlite:///{folder}/quotes.sqlite3")
    migrate(quotes.engine())
    form = kept_key(quotes, Kind.PUBLISHABLE)
    settings = Settings(today=DAY, demo_key=KEY, demo_beside_keys=True, form_key=form, desk=True)
    app = create_app(settings, engine, quotes)
    server = make_server("127.0.0.1", 0, app, threaded=True)
    threading.Thread(target=server.serve_forever).start()
    try:
        yield Desk(app, f"http://127.0.0.1:{server.server_port}")
    finally:
        server.shutdown()
        quotes.close()


class Keys:
    """Somebody who uses a page by its keys alone."""

    def __init__(self, page: Any) -> None:
        self.page = page

    def to(self, text: str) -> None:
        """On by Tab until what has the focus says this, or is named so."""
        for _ in range(MOST):
            self.page.keyboard.press("Tab")
            if text in self.page.evaluate(FOCUSED):
                return
        raise AssertionError(f"no way by Tab to {text!r}")

    def press(self, text: str) -> None:
        """To a button or a link, and Enter; a page comes."""
        self.to(text)
        with self.page.expect_navigation():
            self.page.keyboard.press("Enter")

    def unfold(self, text: str) -> None:
        """To a heading that folds, and open it."""
        self.to(text)
        self.page.keyboard.press("Enter")

    def write(self, name: str, text: str) -> None:
        """To a field, over what stands in it."""
        self.to(name)
        self.page.keyboard.press("Control+a")
        self.page.keyboard.type(text)

"""Refusals on the form's URLs are readable pages for browsers, with the status and with what was entered."""

from __future__ import annotations

import json
from typing import Any

import pytest
from flask import Flask

from service.credentials.keys import Kind
from service.engine.engine import Engine
from service.storage import Quotes
from tests.service.conftest import made_app
from tests.service.holders import kept_key
from tests.service.plain_form import Page, Visitor, cap_shroud

BROWSER = {"Accept": "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8"}  # as browsers send it, from memory
FORM = "application/x-www-form-urlencoded"


@pytest.fixture
def served(engine: Engine, quotes: Quotes) -> Flask:
    return made_app(engine, quotes, form_key=kept_key(quotes, Kind.PUBLISHABLE))


def asked(app: Flask, method: str = "POST", path: str = "/form", **options: Any) -> Any:
    client = app.test_client()
    del client.environ_base["HTTP_AUTHORIZATION"]
    return client.open(path, method=method, headers={**BROWSER, **options.pop("headers", {})}, **options)


def is_a_page(answer: Any, status: int, words: str) -> Page:
    assert (answer.status_code, answer.mimetype) == (status, "text/html")
    assert words in answer.text
    assert "style-src 'sha256-" in answer.headers["Content-Security-Policy"]
    assert "Accept" in answer.headers["Vary"]
    return Page(answer.text)


def test_no_form_is_404_in_words(engine: Engine, quotes: Quotes) -> None:
    app = made_app(engine, quotes, form_key=None)
    is_a_page(asked(app, "GET"), 404, "There is no form here")
    is_a_page(asked(app, "GET", headers={"Accept-Language": "de"}), 404, "Hier ist kein Formular")
    assert asked(app, "GET", headers={"Accept": "*/*"}).mimetype == "application/problem+json"
    assert asked(app, "GET", headers={"Accept": "application/json, text/html;q=0.5"}).mimetype == "application/problem+json"


def test_elsewhere_refusals_stay_as_they_are(served: Flask) -> None:
    assert asked(served, "GET", "/nothing").mimetype == "application/problem+json"


@pytest.mark.parametrize(
    ("status", "words", "options"),
    [
        (
            413,
            "That is too much at once",
            {"data": b"go=check", "content_type": FORM, "environ_overrides": {"CONTENT_LENGTH": str(10**12)}},
        ),
        (415, "takes what the form", {"data": b"{}", "content_type": "application/json"}),
        (
            411,
            "did not arrive completely",
            {"data": b"go=check", "content_type": FORM, "environ_overrides": {"HTTP_TRANSFER_ENCODING": "chunked"}},
        ),
        (400, "did not arrive completely", {"data": b"go=check", "content_type": FORM, "environ_overrides": {"CONTENT_LENGTH": "100"}}),
    ],
)
def test_what_cannot_be_read_is_told_in_words(served: Flask, status: int, words: str, options: dict[str, Any]) -> None:
    is_a_page(asked(served, **options), status, words)


def test_another_method_is_405_in_words(served: Flask) -> None:
    is_a_page(asked(served, "PUT", data=b"", content_type=FORM), 405, "takes what the form")


def test_too_many_are_told_to_wait_and_what_was_written_can_be_sent_again(engine: Engine, quotes: Quotes) -> None:
    app = made_app(engine, quotes, form_key=kept_key(quotes, Kind.PUBLISHABLE), rate_limits={"publishable.quotes": 1})
    answers = [asked(app, data={"go": "next", "step": "boat", "lang": "en", "boat.name": 'Wag"tail'}) for _ in range(3)]
    page = is_a_page(answers[-1], 429, "Many people are asking just now")
    assert f"Wait {answers[-1].headers['Retry-After']} s" in page.text
    assert page.values == {"go": ["next"], "step": ["boat"], "lang": ["en"], "boat.name": ['Wag"tail']}


@pytest.mark.parametrize("language", ["en", "de"])
def test_a_failure_keeps_what_was_written(served: Flask, language: str) -> None:
    def broken() -> None:
        raise ZeroDivisionError

    served.view_functions["plain_form.go_on"] = broken
    answer = asked(served, data={"go": "next", "lang": language, "boat.name": "Wagtail"})
    page = is_a_page(answer, 500, {"en": "nothing was stored", "de": "gespeichert wurde nichts"}[language])
    assert page.values["boat.name"] == ["Wagtail"]
    assert answer.headers["X-Request-Id"] in page.text


def test_a_form_that_has_made_its_quote_offers_to_make_another_with_the_new_answers(served: Flask, quotes: Quotes) -> None:
    client = served.test_client()
    del client.environ_base["HTTP_AUTHORIZATION"]
    client.environ_base["HTTP_ACCEPT"] = BROWSER["Accept"]
    visitor = Visitor(client)
    cap_shroud(visitor)
    visitor.send(delivery="collect")
    visitor.send(request__note="by Friday")
    page = is_a_page(visitor.answer, 422, "has made its quote already")
    before = json.loads(page.values["draft"][0])["once"]
    again = client.post("/form", data=page.values)
    found = Page(again.text)
    assert (again.status_code, found.values["step"], found.values["request.note"]) == (200, ["review"], ["by Friday"])
    assert json.loads(found.values["draft"][0])["once"] == before
    visitor.page = found
    visitor.send()
    assert visitor.answer.status_code == 303
    assert len(list(quotes.page(10, None))) == 2

"""A customer at the quotation's page: follows links and fills in forms, with no key but the link's token."""

from __future__ import annotations

from typing import Any
from urllib.parse import urljoin
from xml.etree.ElementTree import Element

import html5lib
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

XHTML = "{http://www.w3.org/1999/xhtml}"
BROWSER = {"Accept": "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8"}


class Customer:
    """`reply`: the last one; `page`: its elements, if it is a page."""

    def __init__(self, app: Flask, href: str, language: str = "en") -> None:
        self.client: FlaskClient = app.test_client()
        del self.client.environ_base["HTTP_AUTHORIZATION"]
        self.at = ""
        self.reply = self.go(f"{href}&format=html&lang={language}")

    def go(self, address: str) -> TestResponse:
        """Open an address as it stands in the page; a redirection is followed."""
        self.at = urljoin(self.at, address)
        reply = self.client.get(self.at.partition("#")[0], headers=BROWSER)
        return self.go(reply.headers["Location"]) if reply.status_code == 303 else self._shown(reply)

    def _shown(self, reply: TestResponse) -> TestResponse:
        self.reply = reply
        if reply.mimetype == "text/html":
            self.page = html5lib.parse(reply.get_data(as_text=True))
        return reply

    def links(self) -> list[str]:
        """Where the page leads, from the server's root; without places within the page."""
        return [urljoin(self.at, each.get("href", "")) for each in self.page.iter(f"{XHTML}a") if not each.get("href", "").startswith("#")]

    def forms(self) -> dict[str, Element]:
        """The page's forms by what they do."""
        return {self.fields(each)["reply"]: each for each in self.page.iter(f"{XHTML}form")}

    def fields(self, form: Element) -> dict[str, str]:
        """What a form sends as it stands, as a browser would; a line break after `<textarea>` is not of its text."""
        inputs = [each for each in form.iter(f"{XHTML}input") if each.get("type") != "checkbox"]
        areas = {each.get("name", ""): "".join(each.itertext()) for each in form.iter(f"{XHTML}textarea")}
        return {each.get("name", ""): each.get("value", "") for each in inputs} | areas

    def prepared(self, kind: str, **written: str) -> tuple[str, dict[str, str]]:
        """Where a form goes, and what it sends once this is written."""
        form = self.forms()[kind]
        return urljoin(self.at, form.get("action", "")), {**self.fields(form), **written}

    def press(self, kind: str, **written: str) -> TestResponse:
        """Fill in a form and send it; a redirection is followed."""
        return self.send(*self.prepared(kind, **written))

    def send(self, to: str, fields: dict[str, Any]) -> TestResponse:
        """The same for what was prepared."""
        reply = self.client.post(to, data=fields, headers={**BROWSER, "Origin": "null"})
        self.at = to
        return self.go(reply.headers["Location"]) if reply.status_code == 303 else self._shown(reply)

    @property
    def text(self) -> str:
        """What a reader reads, spaces made one."""
        (body,) = self.page.findall(f"{XHTML}body")
        return " ".join("".join(body.itertext()).split())

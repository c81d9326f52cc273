"""The form's element as the service serves it."""

from __future__ import annotations

import base64
import gzip
import hashlib
import re

import pytest
from flask.testing import FlaskClient

from service.web_form.module import FOLDER, PARTS, integrity, lines_of_a_page, module, version
from tests.service.conftest import Command


def test_it_is_served_as_a_module_that_any_page_may_read(client: FlaskClient) -> None:
    answer = client.get("/form/element.js", headers={"Origin": "https://anybody.example"})
    assert (answer.status_code, answer.mimetype) == (200, "text/javascript")
    assert answer.headers["Access-Control-Allow-Origin"] == "*"
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.data == module()
    assert client.get("/form/element.js", headers={"If-None-Match": answer.headers["ETag"]}).status_code == 304


def test_it_is_packed_for_those_who_take_gzip(client: FlaskClient) -> None:
    plain, coded = client.get("/form/element.js"), client.get("/form/element.js", headers={"Accept-Encoding": "gzip"})
    assert coded.headers["Content-Encoding"] == "gzip"
    assert gzip.decompress(coded.data) == plain.data
    assert len(coded.data) <= 35_000  # bytes, what a shop's page may be made to load
    assert coded.headers["ETag"] != plain.headers["ETag"]
    assert "Accept-Encoding" in coded.headers["Vary"]


def test_only_the_address_with_its_version_may_be_kept_for_ever(client: FlaskClient) -> None:
    kept = client.get(f"/form/element.js?v={version()}").headers["Cache-Control"]
    assert "immutable" in kept
    for other in ("", "?v=", "?v=0123456789abcdef"):
        assert client.get(f"/form/element.js{other}").headers["Cache-Control"] == "public, no-cache"


def test_its_integrity_is_the_hash_of_what_is_served(client: FlaskClient) -> None:
    digest = hashlib.sha384(client.get("/form/element.js").data).digest()  # W3C Subresource Integrity, 3.1
    assert integrity() == "sha384-" + base64.b64encode(digest).decode()


def test_every_part_is_in_it(client: FlaskClient) -> None:
    assert {path.stem for path in FOLDER.glob("*.js")} == set(PARTS)


def test_it_writes_no_html_and_runs_no_text() -> None:
    found = re.findall(
        r"innerHTML|outerHTML|insertAdjacentHTML|\beval\(|new Function|document\.write|document\.cookie|\.style\b", module().decode()
    )
    assert found == []


def test_it_names_no_fitting_and_no_size() -> None:
    """What is asked stands in the description alone."""
    assert re.findall(r"swage|fork|toggle(?!\()|thimble|UNF|\bM10\b|cap_shroud|bearing\"", module().decode()) == []


def test_the_command_prints_the_two_lines(command: Command, capsys: pytest.CaptureFixture[str]) -> None:
    key = "wq_publishable_0123456789ab_x"
    assert command("form", "lines", "https://quotes.example/", "--key", key, "--lang", "de") == 0
    assert capsys.readouterr().out == lines_of_a_page("https://quotes.example", key, "de")


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["quotes.example"],
        ["https://a.example", "--key", "wq_secret_1_2"],
        ['https://a.example/"x'],
        ["https://a.example", "--lang", "xx"],
    ],
)
def test_the_command_refuses_what_belongs_in_no_page(command: Command, arguments: list[str]) -> None:
    assert command("form", "lines", *arguments) == 2

"""The contract as a page: it says all of it, and nothing in it is let through as HTML."""

from __future__ import annotations

import html
import re

import html5lib
import yaml

from service.manual import page, style_hash
from tests.service.contract import OPENAPI, contract

METHODS = ("get", "post", "delete", "put", "patch")


def shown(document):
    return page(yaml.safe_dump(document, allow_unicode=True).encode()).decode()


def test_every_operation_parameter_answer_and_schema_is_told(client):
    reply = client.get("/docs")
    assert reply.status_code == 200
    said = reply.get_data(as_text=True)
    places = set(re.findall(r' id="([^"]+)"', said))
    for path, item in contract()["paths"].items():
        for each in (item[method] for method in METHODS if method in item):
            assert each["operationId"] in places
            assert html.escape(path) in said
            article = said.split(f'id="{each["operationId"]}"')[1].split("</article>")[0]
            assert all(f"<b>{status} " in article for status in each["responses"]), path
            assert all(f"<code>{one['name']}</code>" in article for one in each.get("parameters", ()) if "name" in one), path
    assert {f"schema-{name}" for name in contract()["components"]["schemas"]} <= places


def test_every_link_leads_somewhere_and_the_page_is_well_formed():
    said = page(OPENAPI.read_bytes()).decode()
    places = set(re.findall(r' id="([^"]+)"', said))
    assert set(re.findall(r'href="#([^"]+)"', said)) <= places
    parser = html5lib.HTMLParser(strict=True)
    parser.parse(said)


def test_what_the_contract_says_is_text_and_never_html():
    document = contract() | {
        "info": {**contract()["info"], "title": "<script>1</script>", "description": "<script>2</script> {{ 7 * 7 }} `<b>`"}
    }
    said = shown(document)
    assert "<script" not in said
    assert "&lt;script&gt;2" in said
    assert "{{ 7 * 7 }}" in said
    assert "<code>&lt;b&gt;</code>" in said


def test_its_policy_allows_its_own_style_alone(client):
    policy = client.get("/docs").headers["Content-Security-Policy"]
    assert style_hash() in policy
    assert policy.startswith("default-src 'none';")

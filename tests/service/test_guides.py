"""The guides and the contract as pages: no HTML in them gets through, the contract is complete, and what a guide names exists and runs."""

from __future__ import annotations

import html
import os
import re
import subprocess
import sys
from pathlib import Path

import click
import html5lib
import pytest
import yaml

from service.cli.main import service
from service.cli.reference import reference
from service.demo import demo_names, demo_request
from service.encoding import json
from service.guides import FOLDER, SHELVES, guides, page, style_hash
from service.settings import MEANING, READERS, variable
from tests.service.contract import OPENAPI, contract
from tests.service.test_server import KEY, free_port, started, stopped, wait_for

ROOT = Path(__file__).parents[2]
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted(FOLDER.glob("*.md"))]

METHODS = ("get", "post", "delete", "put", "patch")


def shown(info):
    """The page of a contract that says this of itself, and all else as ours."""
    ours = OPENAPI.read_text(encoding="utf-8")
    said, count = re.subn(r"(?ms)^info:\n.*?(?=^\S)", lambda _: yaml.safe_dump({"info": info}, allow_unicode=True), ours)
    assert count == 1
    return page(said.encode()).decode()


def test_every_operation_parameter_answer_and_schema_is_told(client):
    reply = client.get("/docs/api")
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
    said = shown({**contract()["info"], "title": "<script>1</script>", "description": "<script>2</script> {{ 7 * 7 }} `<b>`"})
    assert "<script" not in said
    assert "&lt;script&gt;2" in said
    assert "{{ 7 * 7 }}" in said
    assert "<code>&lt;b&gt;</code>" in said


def test_its_policy_allows_its_own_style_alone(client):
    policy = client.get("/docs/api").headers["Content-Security-Policy"]
    assert style_hash() in policy
    assert policy.startswith("default-src 'none';")


def test_each_guide_stands_in_the_contents_and_has_a_page(client):
    assert {path.stem for path in FOLDER.glob("*.md")} == {name for shelf in SHELVES.values() for name in shelf}
    contents = client.get("/docs").get_data(as_text=True)
    html5lib.HTMLParser(strict=True).parse(contents)
    for name, found in guides().items():
        assert f'<a href="/docs/{name}">{html.escape(found.title)}</a>' in contents
        said = client.get(f"/docs/{name}").get_data(as_text=True)
        html5lib.HTMLParser(strict=True).parse(said)
        for link in re.findall(r'href="/docs/([^"#]+)', said):
            assert link == "api" or link in guides(), link
    assert client.get("/docs/no-such-guide").status_code == 404


def test_settings_and_commands_are_those_of_the_code():
    """Written by `python -m service.cli.reference > service/guides/settings-and-commands.md`."""
    assert set(MEANING) == set(READERS)
    assert (FOLDER / "settings-and-commands.md").read_text(encoding="utf-8") == reference()


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.name)
def test_what_a_page_names_exists(path):
    """Commands, settings, addresses, and files by a path or beside a link."""
    said = path.read_text(encoding="utf-8")
    words = re.findall(r"python -m service ([a-z]+(?: [a-z-]+)?)", said)
    for table in re.findall(r"(?m)^\| `python -m service \.\.\.`.*\n((?:\|.*\n)+)", said):
        words += re.findall(r"(?m)^\| `([a-z]+(?: [a-z-]+)?)", table)
    for word in words:
        group, _, rest = word.partition(" ")
        command = service.commands.get(group)
        assert command is not None, word
        assert not isinstance(command, click.Group) or not rest or rest in command.commands, word
    assert set(re.findall(r"SERVICE_[A-Z_]+[A-Z]", said)) <= {variable(name) for name in READERS}
    templates = [re.sub(r"\{[^}]+\}", "X", each) for each in contract()["paths"]]
    for address in re.findall(r"(?<![\w.])/v1/[\w{}/-]+", said):
        assert re.sub(r"\{[^}]+\}", "X", address.rstrip("/")) in templates, address
    for name in re.findall(r"`((?:service|pricing|tests|\.ci|\.pins)/[\w./-]*)`", said) + re.findall(r"\]\(([\w./-]+\.md)\)", said):
        assert (ROOT / name).exists() or (path.parent / name).exists(), name


def test_the_fleet_is_that_of_the_demo_boats():
    lines = [json.read(line) for line in (ROOT / "service" / "demo" / "fleet.ndjson").read_bytes().splitlines()]
    assert lines == [{"custom_id": name, **json.read(demo_request(name))} for name in demo_names()]


@pytest.mark.long
def test_the_guides_commands_run(tmp_path):
    """Each `sh` block, in a copy's place: from the repository's folder against a server of its own; `console` blocks are for other machines."""
    port = free_port()
    with (tmp_path / "said").open("w") as out:
        server = started(tmp_path, port, out)
        try:
            wait_for(server, port)
            for name, guide in guides().items():
                for block in re.findall(r"(?s)```sh\n(.*?)```", guide.text):
                    run(block, port, tmp_path, name)
        finally:
            stopped(server)
    assert (tmp_path / "plan.svg").read_text(encoding="utf-8").startswith("<?xml")
    assert len((tmp_path / "results.ndjson").read_bytes().splitlines()) == len(demo_names())


def run(block, port, folder, name):
    """Runs a block as it stands, but for the port, the interpreter, and where it writes; a reply that is a refusal fails it."""
    words = block.replace("127.0.0.1:8000", f"127.0.0.1:{port}").replace(".venv/bin/python", sys.executable)
    words = words.replace("curl -s", "curl -sS --fail-with-body").replace("GALLERY", str(folder / "gallery"))
    words = words.replace("plan.svg", str(folder / "plan.svg")).replace("results.ndjson", str(folder / "results.ndjson"))
    settings = {"KEY": KEY, "SERVICE_DATABASE_URL": f"sqlite:///{folder / 'quotes.sqlite3'}", "SERVICE_TODAY": "2026-11-25"}
    done = subprocess.run(
        ["bash", "-euo", "pipefail", "-c", words], cwd=ROOT, env={**os.environ, **settings}, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, (name, block, done.stdout[-2000:], done.stderr[-2000:])


def test_the_readme_shows_a_request_and_what_it_is_answered(client):
    """Its figures are those of tests/cases, worked by hand; here only that page and service agree."""
    asked, shown = (
        json.read(each.encode()) for each in re.findall(r"(?s)```json\n(.*?)```", (ROOT / "README.md").read_text(encoding="utf-8"))
    )
    reply = client.post("/v1/quotes", json=asked)
    assert reply.status_code == 201
    said, (wire,) = reply.json, shown["assemblies"]
    assert re.fullmatch(r"Q-\d{4}-\d{6}", said["number"])
    got = said["assemblies"][0]
    for field in ("tag", "readiness", "target_length", "cut_length"):
        assert got[field] == wire[field], field
    for field in ("derivation", "findings"):
        assert all(any(each.items() <= whole.items() for whole in got[field]) for each in wire[field]), field


def test_the_quick_loop_names_tests_that_there_are() -> None:
    """One that is gone lets pytest run none at all."""
    named = re.findall(r"tests/[\w./]+", (ROOT / ".ci" / "quick").read_text(encoding="utf-8"))
    assert len(named) > 10
    assert [each for each in named if not (ROOT / each).exists()] == []

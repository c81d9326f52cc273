"""One gate: what may not be built has no cut length on any paper, and has it on those of the bench once what was asked is settled."""

from __future__ import annotations

import ast
import io
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import quote as quoted_path

import openpyxl
import pytest
from flask.testing import FlaskClient

import service
from pricing.units import imperial, metric
from tests.service.steps import WORDS, settled

READ = {"construction": "1x19", "material": "316", "measured": "4.78 mm"}  # read by caliper: the shop is asked to confirm it


@pytest.fixture
def asking(client: FlaskClient, demo: dict[str, Any]) -> Any:
    """The demo boat with a wire that was read by caliper."""
    first, *others = demo["assemblies"]
    made = client.post("/v1/quotes", json={**demo, "assemblies": [{**first, "wire": READ}, *others]}).json
    assert [each["readiness"] for each in made["assemblies"]][:2] == ["confirm", "ready_to_cut"]
    return made


def papers(client: FlaskClient, made: Any) -> Iterator[tuple[str, str]]:
    at = f"/v1/quotes/{made['id']}"
    for form in ("html", "csv", "csv&table=bill", "ubl"):
        yield form, client.get(f"{at}?format={form}").text
    yield "summary", client.get(f"{at}?view=summary").text
    sheets = openpyxl.load_workbook(io.BytesIO(client.get(f"{at}?format=xlsx").data))
    yield "xlsx", " ".join(str(cell) for sheet in sheets for row in sheet.values for cell in row if cell is not None)
    for language in ("en", "de"):
        for form in ("json", "html"):
            yield f"bench sheet {form} {language}", client.get(f"{at}/bench-sheet?format={form}&lang={language}").text
        yield f"rig sheet {language}", client.get(f"{at}/rig-sheet?lang={language}").text
        for each in made["assemblies"]:
            tag = quoted_path(each["tag"], safe="")
            yield f"drawing {each['tag']} {language}", client.get(f"{at}/assemblies/{tag}/drawing?lang={language}").text
    for form in ("json", "csv", "svg"):
        yield f"plan {form}", client.get(f"{at}/cutting-plan?format={form}").text
    yield "plan of several", client.post("/v1/cutting-plans", json={"quotes": [made["id"]]}).text


def figures(assembly: Any) -> list[str]:
    """The cut length as any paper writes it: mm, feet and inches, and with a comma."""
    from decimal import Decimal

    mm = Decimal(assembly["cut_length"]["mm"])
    words = [str(mm), metric(mm), imperial(mm), assembly["cut_length"]["text"]]
    return [*words, *(each.replace(".", ",") for each in words)]


def test_what_may_not_be_built_has_no_cut_length_on_any_paper_until_it_is_settled(client: FlaskClient, asking: Any) -> None:
    shut, open_ = asking["assemblies"][:2]
    alike = [each for each in figures(shut) if each in figures(open_)]
    assert not alike, "the two lengths must differ for this test"
    before = dict(papers(client, asking))
    leaks = [name for name, text in before.items() for each in figures(shut) if each in text]
    assert leaks == []
    shown = {name for name, text in before.items() if any(each in text for each in figures(open_))}
    settled(client, asking)
    after = {name for name, text in papers(client, asking) if any(each in text for each in figures(shut))}
    # what shows the length of a wire that may be built shows that of this one now; drawings are of one wire each
    assert {name for name in shown if not name.startswith("drawing")} <= after
    assert {f"drawing {shut['tag']} en", "bench sheet json en", "plan csv", "plan svg"} <= after


def test_papers_read_quotes_through_the_gate_alone() -> None:
    """Nothing that makes papers reads a stored quote otherwise than by `whole`, which lets it through the gate."""
    root = Path(service.__file__).parent
    readers = {}
    for folder in ("documents", "formats"):
        for file in sorted((root / folder).rglob("*.py")):
            tree = ast.parse(file.read_text(encoding="utf-8"))
            names = {node.attr for node in ast.walk(tree) if isinstance(node, ast.Attribute)} | {
                node.id for node in ast.walk(tree) if isinstance(node, ast.Name)
            }
            if names & {"with_members", "quote_of"} or ".quote()" in file.read_text(encoding="utf-8"):
                readers[file.relative_to(root).as_posix()] = names
    # the customer's page reads what stands of a quote, and no figure of it
    assert not readers.pop("formats/customer.py") & {"assemblies", "cut_length", "derivation", "ends", "stops"}
    assert set(readers) == {"formats/quote.py"}
    assert "as_it_stands" in readers["formats/quote.py"]


def test_a_drawing_says_why_it_has_no_cut_length_and_the_bench_what_was_checked_by_hand(client: FlaskClient, asking: Any) -> None:
    at, tag = f"/v1/quotes/{asking['id']}", asking["assemblies"][0]["tag"]
    drawing = client.get(f"{at}/assemblies/{tag}/drawing").text
    assert "none yet: confirm first" in drawing
    assert "Wire to cut" not in drawing
    settled(client, asking)
    assert "Wire to cut" in client.get(f"{at}/assemblies/{tag}/drawing").text
    sheet = next(each for each in client.get(f"{at}/bench-sheet?format=json").json["assemblies"] if each["tag"] == tag)
    (answer,) = sheet["settled"]
    assert (answer["words"], answer["by"]) == (WORDS["words"], WORDS["by"])
    assert "4.78 mm" in answer["asked"]
    assert answer["asked"] not in [each["message"] for each in sheet["notes"]]
    client.post(f"{at}/withdrawal", json={})
    ended = client.get(f"{at}/assemblies/{tag}/drawing").text
    assert "none: the quote has ended" in ended
    assert "withdrawn" in ended

"""The code keeps to the import rule and the layout."""

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import get_type_hints

import pytest

from pricing.model import Quote
from service.documents.assembly_drawing import svg as assembly_svg
from service.documents.bench_sheet.document import bench_sheet
from service.documents.rig_sheet import svg as rig_sheet_svg
from service.formats import bench_sheet as bench_forms
from service.formats import quote as quote_forms

ROOT = Path(__file__).parents[1]
TOP_LEVEL = {"README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", "openapi.yaml", "Dockerfile", "service", "pricing", "tests"}
HEAVY = ("pandas", "pint", "highspy", "flask", "marshmallow", "sqlalchemy", "gunicorn", "service")


def test_the_layers_and_the_purity_of_the_engine_hold():
    done = subprocess.run([Path(sys.executable).with_name("lint-imports")], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout


def test_the_engine_loads_in_an_empty_process_without_the_web_or_the_table_libraries():
    program = f"import pricing.quote, sys; print([name for name in {HEAVY!r} if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_only_the_agreed_names_are_at_the_top_level():
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    names = {line.split("/")[0] for line in listed.stdout.splitlines()}
    assert {name for name in names if not name.startswith(".")} <= TOP_LEVEL


def test_every_finding_code_is_registered_in_one_module_and_named_with_hyphens():
    program = "import pricing.quote; from pricing.findings import CODES; print(*CODES)"
    done = subprocess.run([sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=True)
    codes = done.stdout.split()
    assert len(codes) > 40
    assert all(code == code.lower() and "_" not in code for code in codes)


DOCUMENTS = ROOT / "service" / "documents"
OTHER_JSON = {
    "cutting_plan",
    "bench_sheet/cuts.py",
    "bench_sheet/fitting.py",
    "batch_results.py",
    "draft_drawing",
    "csv/purchases.py",
    "ubl/order.py",
}  # they read cutting plans, a sheet's own data, a batch's results, drafts and what is to be bought, no quote
BY_NAME = {
    "sizes",
    "values",
    "value",
    "asks",
    "_OWN",
}  # dimensions, a finding's values, what a family asks, symbols: nothing of these is a quote's document


def subscripts(source: str) -> Iterator[str]:
    """Whatever is read by a name in quotation marks: `document["lines"]`, `document.get("lines")`, `"lines" in document`."""
    for node in ast.walk(ast.parse(source)):
        read: ast.expr | None = None
        match node:
            case ast.Subscript(value=value, slice=ast.Constant(value=str()), ctx=ast.Load()):
                read = value
            case ast.Call(func=ast.Attribute(value=value, attr="get" | "pop" | "__getitem__"), args=[ast.Constant(value=str()), *_]):
                read = value
            case ast.Compare(
                left=ast.Constant(value=str()), ops=[ast.In() | ast.NotIn()], comparators=[ast.Name() | ast.Attribute() as value]
            ):
                read = value
        named = read.id if isinstance(read, ast.Name) else read.attr if isinstance(read, ast.Attribute) else ""
        if read is not None and named not in BY_NAME:
            yield ast.unparse(node)


@pytest.mark.parametrize(
    "source", ['x["lines"]', 'x["a"]["b"]', 'f(x).get("lines")', 'x.get("lines", ())', '"erased_on" in x', '"erased_on" not in x.y', 'sizes["bore"][0]["lines"]']
)  # fmt: skip
def test_a_reading_by_name_is_found(source: str) -> None:
    assert list(subscripts(source))


@pytest.mark.parametrize(
    "source", ['x = {"lines": 1}', 'member.sizes["bore"]', 'values.get("member")', 'x["lines"] = 1', "x[0]", '"mm" in ("mm", "in")']
)
def test_what_writes_json_or_reads_what_has_names_is_left_alone(source: str) -> None:
    assert list(subscripts(source)) == []


def test_no_paper_reads_a_quote_as_an_untyped_document() -> None:
    modules = {path.relative_to(DOCUMENTS).as_posix(): path for path in DOCUMENTS.rglob("*.py")}
    read = {name: path for name, path in modules.items() if not {name, name.partition("/")[0]} & OTHER_JSON}
    assert len(read) > 40
    found = {name: list(subscripts(path.read_text(encoding="utf-8"))) for name, path in read.items()}
    assert {name: each for name, each in found.items() if each} == {}


def test_every_maker_of_a_paper_takes_the_typed_quote() -> None:
    makers = [served.make for forms in (quote_forms.FORMS, quote_forms.TABLES, bench_forms.FORMS) for served in forms.values()]
    for maker in (*makers, assembly_svg.drawing, rig_sheet_svg.drawing, bench_sheet):
        hints = get_type_hints(getattr(maker, "func", maker))
        assert hints.get("quote") is Quote, maker

"""The import rule and the layout, held by the code itself."""

import subprocess
import sys
from pathlib import Path

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


def test_nothing_but_the_agreed_names_stands_at_the_top():
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    names = {line.split("/")[0] for line in listed.stdout.splitlines()}
    assert {name for name in names if not name.startswith(".")} <= TOP_LEVEL


def test_every_finding_code_is_registered_in_one_module_and_named_with_hyphens():
    program = "import pricing.quote; from pricing.findings import CODES; print(*CODES)"
    done = subprocess.run([sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=True)
    codes = done.stdout.split()
    assert len(codes) > 40
    assert all(code == code.lower() and "_" not in code for code in codes)

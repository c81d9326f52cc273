"""Two clients generated from openapi.yaml in TypeScript: their types hold under a strict compiler, and a front-end's program runs by each on the real server."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.service.contract import contract
from tests.service.test_generated_client import hooked, served_in, server  # noqa: F401  # two fixtures
from tests.service.test_server import KEY, ROOT, free_port

pytestmark = pytest.mark.long  # two clients are generated, compiled and used
HERE = Path(__file__).parent / "typescript"
TOOLS = ROOT / ".ci" / "contract" / "node_modules"

# What may be anything, as its description says: a draft's fields, a value put into a request, and lengths as somebody typed them.
ANYTHING = {*contract()["components"]["schemas"]["Draft"]["properties"]["assembly"]["properties"], "value"}


@pytest.fixture(scope="module")
def compiled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with both clients (`paths.d.ts` and `functions`) and the programs, compiled into `out`."""
    if not TOOLS.is_dir() or shutil.which("node") is None:
        reason = "no generators here: `npm ci --prefix .ci/contract` brings them"
        if os.environ.get("TEST_SERVICES_REQUIRED"):
            pytest.fail(reason)
        # on a newcomer's machine; .ci/run installs them, and then it is a failure
        pytest.skip(reason)
    folder = tmp_path_factory.mktemp("typescript")
    (folder / "node_modules").symlink_to(TOOLS)
    (folder / "package.json").write_text('{"private": true}', encoding="utf-8")
    for each in HERE.iterdir():
        shutil.copy(each, folder)
    run(folder, "openapi-typescript", ROOT / "openapi.yaml", "--output", "paths.d.ts")
    run(folder, "openapi-ts", "--input", ROOT / "openapi.yaml", "--output", "functions", "--no-log-file")
    run(folder, "tsc")
    return folder


def run(folder: Path, tool: str, *arguments: str | Path) -> str:
    program = shutil.which("node") if tool == "node" else TOOLS / ".bin" / tool
    done = subprocess.run([str(program), *map(str, arguments)], cwd=folder, capture_output=True, encoding="utf-8", check=False, timeout=300)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def test_every_operation_is_covered(compiled: Path) -> None:
    named = {operation["operationId"] for path in contract()["paths"].values() for operation in path.values() if "operationId" in operation}
    functions = (compiled / "functions" / "sdk.gen.ts").read_text(encoding="utf-8")
    assert set(re.findall(r"^export const (\w+) = ", functions, re.MULTILINE)) == named
    told = {each["post"]["operationId"] for each in contract()["webhooks"].values()}  # sent to the shop: a type each, and nothing to call
    paths = (compiled / "paths.d.ts").read_text(encoding="utf-8").partition("export interface operations {")[2]
    assert set(re.findall(r"^    (\w+): \{", paths, re.MULTILINE)) == named | told


def test_only_what_may_be_anything_is_unknown(compiled: Path) -> None:
    functions = (compiled / "functions" / "types.gen.ts").read_text(encoding="utf-8")
    assert re.findall(r"^.*\bany\b;$", functions, re.MULTILINE) == []
    found = {
        line.strip() for line in functions.splitlines() if re.search(r"\bunknown\b(?!['?:])", line) and not line.lstrip().startswith("*")
    }
    manifest = "[key: string]: unknown;"  # its members are the standard's
    assert found == {*(f"{name}?: unknown;" for name in ANYTHING - {"value"}), "value: unknown;", "lengths: Array<unknown>;", manifest}
    paths = (compiled / "paths.d.ts").read_text(encoding="utf-8").partition("schemas: {")[2].partition("\n    };")[0]
    assert {each.rstrip("?") for each in re.findall(r"(\S+): unknown(?:\[\])?;", paths)} == ANYTHING


@pytest.mark.parametrize("client", ["functions", "paths"])
def test_a_front_end_quotes_finds_revises_settles_accepts_sends_a_batch_and_asks_for_plans(
    compiled: Path,
    server: str,  # noqa: F811
    served_in: Path,  # noqa: F811
    client: str,
) -> None:
    port = free_port()
    said = json.loads(run(compiled, "node", f"out/by_{client}.js", server, KEY, str(port), hooked(served_in, port)))
    assert said == {
        "strength": 18.95,  # kN, of the 4260 lbf in the demo shop's table of wires: 4260 × 4.4482216 N = 18 949 N
        "settled": 1,
        "found": True,
        "revision": 2,
        "status": "accepted",
        "outcomes": 2,
        "succeeded": 1,  # the second boat's price list is none of the shop's
        "plan": "shop",
        "quotes": 1,
        "fault": "#/assemblies",
        "followed": "completed",
        "told": [True, 1, 1, 400],  # of the quote and of the batch, signed; and what another signed is refused
    }

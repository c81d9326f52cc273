"""A client generated from openapi.yaml (by openapi-python-client) creates a quote on the real server and reads it back."""

from __future__ import annotations

import importlib
import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.service.test_server import BODY, KEY, ROOT, free_port, started, stopped, wait_for

pytestmark = pytest.mark.long  # a whole client is generated, imported and used
NAME = "generated_quotes_client"
# The generator knows no spreadsheet by its media type: it is told that these are files, bytes as they are.
FILES = dict.fromkeys(("text/csv", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"), "application/octet-stream")


@pytest.fixture(scope="module")
def package(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The generated package, to be imported."""
    folder = tmp_path_factory.mktemp("client")
    (folder / "config.yaml").write_text(json.dumps({"post_hooks": [], "content_type_overrides": FILES}), encoding="utf-8")
    command = [
        "generate",
        "--path",
        ROOT / "openapi.yaml",
        "--meta",
        "none",
        "--output-path",
        folder / NAME,
        "--config",
        folder / "config.yaml",
    ]
    program = "from openapi_python_client.cli import app; app()"
    made = subprocess.run([sys.executable, "-c", program, *command], capture_output=True, text=True, check=False, timeout=240)
    assert made.returncode == 0, made.stdout + made.stderr
    assert "ERROR" not in made.stdout + made.stderr
    sys.path.insert(0, str(folder))
    yield NAME
    sys.path.remove(str(folder))
    for name in [each for each in sys.modules if each.split(".")[0] == NAME]:
        del sys.modules[name]


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    port = free_port()
    folder = tmp_path_factory.mktemp("served")
    with (folder / "log").open("w", encoding="utf-8") as log:
        process = started(folder, port, log)
    wait_for(process, port)
    yield f"http://127.0.0.1:{port}"
    stopped(process)


def part(package: str, name: str) -> Any:
    return importlib.import_module(f"{package}.{name}")


def test_every_operation_has_its_function(package: str) -> None:
    import yaml

    document = yaml.safe_load((ROOT / "openapi.yaml").read_text(encoding="utf-8"))
    operations = {
        (operation["tags"][0].replace(" ", "_"), operation["operationId"])
        for path in document["paths"].values()
        for operation in path.values()
        if "tags" in operation
    }
    missing = [each for tag, each in operations if not (Path(part(package, f"api.{tag}").__file__).parent / f"{_snake(each)}.py").exists()]
    assert missing == []


def _snake(name: str) -> str:
    return "".join(f"_{each.lower()}" if each.isupper() else each for each in name)


def test_it_makes_a_quote_reads_it_lists_it_and_sees_a_refusal(package: str, server: str) -> None:
    with part(package, "client").AuthenticatedClient(base_url=server, token=KEY) as client:
        use(package, client)


def use(package: str, client: Any) -> None:
    models, quotes = part(package, "models"), "api.quotes"
    asked = json.loads(BODY)
    made = part(package, f"{quotes}.issue_quote").sync_detailed(
        client=client, body=models.QuoteRequest.from_dict(asked), idempotency_key="8e03978e-40d5-43dd-bc93-6894a57f9324"
    )
    assert made.status_code == 201
    assert isinstance(made.parsed, models.Quote)
    assert [each.tag for each in made.parsed.assemblies] == [each["tag"] for each in asked["assemblies"]]
    read = part(package, f"{quotes}.read_quote").sync_detailed(made.parsed.id, client=client)
    assert read.status_code == 200
    assert read.parsed.number == made.parsed.number
    assert read.parsed.to_dict() == json.loads(made.content)  # nothing is lost on the way through the client's types
    page = part(package, f"{quotes}.list_quotes").sync(client=client, limit=5)
    assert [each.number for each in page.quotes] == [made.parsed.number]
    first, *rest = asked["assemblies"]
    wrong = models.QuoteRequest.from_dict({**asked, "assemblies": [{**first, "role": "cap_shroud", "tag": rest[0]["tag"]}, *rest]})
    refused = part(package, f"{quotes}.issue_quote").sync_detailed(client=client, body=wrong)
    assert refused.status_code == 422
    assert refused.parsed.to_dict()["errors"][0]["pointer"].startswith("#/assemblies/")

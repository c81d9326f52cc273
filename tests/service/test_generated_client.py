"""A client generated from openapi.yaml (by openapi-python-client) does on the real server what a shop's program does, and its types hold."""

from __future__ import annotations

import importlib
import json
import os
import re
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from standardwebhooks import Webhook, WebhookVerificationError

from tests.plain_yaml import read_yaml
from tests.service.test_server import BODY, KEY, ROOT, free_port, started, stopped, wait_for
from tests.webhooks.receiving import Receiver

pytestmark = pytest.mark.long  # a whole client is generated, imported and used
NAME = "generated_quotes_client"
# The generator knows no spreadsheet by its media type: it is told that these are files, bytes as they are. It is not told so of CSV: of a body that is
# a list or a file it makes a function that cannot be called.
FILES = dict.fromkeys(
    ("application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", "application/zip", "application/yaml"), "application/octet-stream"
)


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
def served_in(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The server's own folder, where its database is."""
    return tmp_path_factory.mktemp("served")


@pytest.fixture(scope="module")
def server(served_in: Path) -> Iterator[str]:
    port = free_port()
    with (served_in / "log").open("w", encoding="utf-8") as log:
        process = started(served_in, port, log, SERVICE_WEBHOOK_PRIVATE="yes")
    wait_for(process, port)
    yield f"http://127.0.0.1:{port}"
    stopped(process)


def hooked(folder: Path, port: int) -> str:
    """The secret of a new endpoint at this port of this machine."""
    command = [
        sys.executable,
        "-m",
        "service",
        "webhooks",
        "add",
        f"http://127.0.0.1:{port}/hook",
        "--events",
        "quote.issued,batch.completed",
    ]
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "SERVICE_WEBHOOK_PRIVATE": "yes", "SERVICE_TODAY": "2026-11-25"}
    made = subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, check=False, timeout=120)
    assert made.returncode == 0, made.stdout + made.stderr
    return made.stdout.splitlines()[1]


def part(package: str, name: str) -> Any:
    return importlib.import_module(f"{package}.{name}")


def test_every_operation_has_its_function(package: str) -> None:

    document = read_yaml((ROOT / "openapi.yaml").read_text(encoding="utf-8"))
    operations = {
        (operation["tags"][0].replace(" ", "_"), operation["operationId"])
        for path in document["paths"].values()
        for operation in path.values()
        if "tags" in operation
    }
    missing = [each for tag, each in operations if not (Path(part(package, f"api.{tag}").__file__).parent / f"{_snake(each)}.py").exists()]
    assert missing == []


def test_only_what_may_be_anything_is_any(package: str) -> None:

    draft = read_yaml((ROOT / "openapi.yaml").read_text(encoding="utf-8"))["components"]["schemas"]["Draft"]
    found: set[str] = set()
    for each in Path(part(package, "models").__file__).parent.glob("*.py"):
        found |= set(re.findall(r"^    (\w+): .*\bAny\b", each.read_text(encoding="utf-8"), re.MULTILINE))
    # lengths as typed, a value put into a request, and what the generator adds to objects that are closed together
    assert found == {*draft["properties"]["assembly"]["properties"], "lengths", "value", "additional_properties"}


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


def test_what_it_is_told_is_verified_and_has_types(package: str, server: str, served_in: Path) -> None:
    """By the package `standardwebhooks`, as a receiver in Python does it (service/guides/webhooks.md)."""
    models, got = part(package, "models"), Receiver()
    hook = Webhook(hooked(served_in, got.port))
    with part(package, "client").AuthenticatedClient(base_url=server, token=KEY) as client:
        made = part(package, "api.quotes.issue_quote").sync(client=client, body=models.QuoteRequest.from_dict(json.loads(BODY)))
        line = models.BatchLine.from_dict(json.loads(BODY))
        batch = part(package, "api.batches.make_batch").sync(client=client, body=[line])
    while len(got.got) < 3:  # the quote, that of the batch, and the batch
        time.sleep(0.1)
    got.close()
    told = [hook.verify(body, headers) for _, headers, body in got.got]
    issued = [models.ToldQuoteIssued.from_dict(each) for each in told if each["type"] == "quote.issued"]
    assert made.number in [each.data.number for each in issued]
    (done,) = (models.ToldBatchCompleted.from_dict(each) for each in told if each["type"] == "batch.completed")
    assert (str(done.data.id), done.data.succeeded, done.data.failed) == (str(batch.id), 1, 0)
    headers, body = next((headers, body) for _, headers, body in got.got if b"Q-2026-" in body)  # they come in any order
    with pytest.raises(WebhookVerificationError):
        hook.verify(body.replace(b"Q-2026-", b"Q-2027-"), headers)


def test_it_revises_settles_accepts_sends_a_batch_and_asks_for_plans(package: str, server: str) -> None:
    with part(package, "client").AuthenticatedClient(base_url=server, token=KEY) as client:
        go_on(package, client)


def go_on(package: str, client: Any) -> None:
    models = part(package, "models")

    def call(name: str, *at: Any, status: int = 200, **given: Any) -> Any:
        answer = part(package, f"api.{name}").sync_detailed(*at, client=client, **given)
        assert answer.status_code == status, answer.content
        return answer

    asked = json.loads(BODY)
    asked["assemblies"] = asked["assemblies"][:1]
    made = call("quotes.issue_quote", status=201, body=models.QuoteRequest.from_dict(asked)).parsed
    wire = made.assemblies[0].wire
    assert isinstance(wire, models.WireOfQuote)
    assert wire.break_k_n == "18.95"  # kN, of the 4260 lbf in the demo shop's table of wires: 4260 × 4.4482216 N = 18 949 N
    revised = call(
        "quotes.revise_quote", made.id, status=201, body=models.QuoteRequest.from_dict({**asked, "note": "Two weeks later."})
    ).parsed
    assert revised.revision == 2
    for each in call("quotes.read_settlements", revised.id).parsed.open_:
        answer = {"tag": each.tag, "code": each.code, "pointer": each.pointer, "words": "Looked at: as written.", "by": "Jo Marsh"}
        call("quotes.settle_findings", revised.id, status=201, body=models.SettlementOrder.from_dict(answer))
    seen = call("quotes.read_quote", revised.id).headers["ETag"]
    who = models.Acceptance.from_dict({"customer": {"name": "Asta Lindqvist"}})
    assert call("quotes.accept_quote", revised.id, if_match=seen, body=who).parsed.status == "accepted"

    lines = [
        models.BatchLine.from_dict({**asked, "custom_id": "HULL-01"}),
        models.BatchLine.from_dict({**asked, "price_list": "no-such-list"}),
    ]
    batch = call("batches.make_batch", status=202, body=lines).parsed
    while call("batches.read_batch", batch.id).parsed.status != "completed":
        time.sleep(0.2)
    stream = client.get_httpx_client().get(f"/v1/batches/{batch.id}/events").text  # a stream: to no generator an object, its events are
    (followed,) = (dict(line.split(": ", 1) for line in block.splitlines()) for block in stream.split("\n\n") if "data: " in block)
    event = models.BatchEvent.from_dict({**followed, "data": json.loads(followed["data"])})
    assert (event.event, event.data.status) == ("completed", "completed")
    made_of = (
        client.get_httpx_client().get(f"/v1/batches/{batch.id}/results").text.splitlines()
    )  # lines: no generator reads them as one object
    good, bad = (json.loads(each) for each in made_of)
    assert models.SucceededLine.from_dict(good).quote.number == good["quote"]["number"]
    assert models.FailedLine.from_dict(bad).problem.status == 422

    pieces = [models.TypedPiece(length="5.2 m", quantity=2)]
    by_size = models.PlanWireBySize(construction=models.PlanWireBySizeConstruction("1x19"), diameter="3/16 in", material="316")
    plan = call(
        "cutting_plans.make_cutting_plan",
        status=201,
        body=models.PlanOfPieces(wire=by_size, pieces=pieces, effort=models.PlanOfPiecesEffort("fast")),
    ).parsed
    assert plan.stock_source == "shop"
    together = call("cutting_plans.make_cutting_plan", status=201, body=models.PlanOfQuotes(quotes=[revised.id])).parsed
    assert [each.id for each in together.quotes] == [revised.id]

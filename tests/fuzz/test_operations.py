"""Valid and invalid requests generated from the contract by schemathesis, for every operation; each response is checked against the
contract.

Seeds are fixed, so that failures are reproducible. `positive_data_acceptance` is left out: what the schema allows can still be refused
with 422, such as a wire that the catalogue does not have.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import suppress
from shutil import copy
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis.errors import Unsatisfiable
from schemathesis import GenerationMode
from schemathesis.checks import load_all_checks, not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    negative_data_rejection,
    response_headers_conformance,
    response_schema_conformance,
    status_code_conformance,
    unsupported_method,
)

from service.app import create_app
from service.engine.engine import Engine
from service.settings import Settings
from service.storage import Quotes
from tests.counts import THOROUGH, some, some_of
from tests.service.conftest import DAY, KEY, empty_file, engine  # noqa: F401  # fixtures
from tests.service.contract import contract

EXAMPLES = int(os.environ.get("FUZZ_EXAMPLES", some(20, 1)))
CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
    negative_data_rejection,
    unsupported_method,
]
load_all_checks()


def checks_of(case: Any) -> list[Any]:
    """Of a batch a broken line is no reason to refuse it: each line has its own outcome. Nor is a header that HTTP lets a server ignore, a
    parameter that has no value and so is not sent, or one at an address outside `/v1`, which take others than their own.
    """
    batch = case.operation.definition.raw["operationId"] == "makeBatch"
    wrong = (
        {str(place.value) for place, part in case.meta.components.items() if part.mode is GenerationMode.NEGATIVE} if case.meta else set()
    )
    ignored = {"header", "cookie"}
    if not case.path.startswith("/v1/") or any(value in (None, [], {}) for value in (case.query or {}).values()):
        ignored.add("query")
    ignorable = bool(wrong) and wrong <= ignored
    return [each for each in CHECKS if not ((batch or ignorable) and each is negative_data_rejection)]


SETTINGS = settings(
    max_examples=EXAMPLES,
    derandomize=True,
    deadline=None,
    database=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)


@pytest.fixture(scope="module")
def api(engine: Engine, empty_file: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:  # noqa: F811
    """The service in this process, with a database of its own."""
    folder = tmp_path_factory.mktemp("fuzz")
    copy(empty_file, folder / "quotes.sqlite3")
    store = Quotes(f"sqlite:///{folder}/quotes.sqlite3")
    app = create_app(Settings(today=DAY, demo_key=KEY, database_url=store.url), engine, store)
    yield schemathesis.openapi.from_wsgi("/openapi.yaml", app)
    store.close()


def operations() -> list[tuple[str, str]]:
    """Method and path of each operation, but for what is followed without an end, and the contract itself, which is text to it and YAML to the tool."""
    return [
        (method, path)
        for path, each in contract()["paths"].items()
        for method, operation in each.items()
        if method in ("get", "post", "delete") and operation["operationId"] not in ("followBatch", "readContract")
    ]


def asked() -> list[tuple[str, str, GenerationMode]]:
    """Each operation with what is valid and with what is not; in an ordinary run a part of the operations, with one of them, in turns."""
    modes = list(GenerationMode)
    every = [
        (method, path, mode)
        for place, (method, path) in enumerate(operations())
        for mode in (modes if THOROUGH else [modes[place % len(modes)]])
    ]
    return some_of(every, 30)


@pytest.mark.parametrize(("method", "path", "mode"), asked(), ids=lambda each: getattr(each, "value", each))
def test_every_operation_keeps_to_the_contract(api: Any, method: str, path: str, mode: GenerationMode) -> None:
    @given(api[path][method.upper()].as_strategy(generation_mode=mode))
    @SETTINGS
    def ask(case: Any) -> None:
        case.call_and_validate(headers={"Authorization": f"Bearer {KEY}", "Accept-Encoding": "identity"}, checks=checks_of(case))

    with suppress(Unsatisfiable):  # an operation that takes nothing has nothing that could be wrong
        ask()

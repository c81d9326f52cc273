"""After all other tests: every status that openapi.yaml lists for an operation was answered to some test, and held to its schema there."""

from __future__ import annotations

import pytest

from tests.service.contract import REACHED, contract

METHODS = ("get", "post", "put", "patch", "delete")


def listed() -> set[tuple[str, str]]:
    return {
        (operation["operationId"], status)
        for path in contract()["paths"].values()
        for method, operation in path.items()
        if method in METHODS
        for status in operation["responses"]
    }


def test_every_status_of_the_contract_is_reached(request: pytest.FixtureRequest) -> None:
    if request.config.args != request.config.getini("testpaths") or request.config.option.keyword:
        pytest.skip("only a run of all tests can tell")
    assert sorted(listed() - REACHED) == []

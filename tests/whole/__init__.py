"""Every status that openapi.yaml lists for an operation is returned to some test, and checked against its schema there; see
tests/conftest.py."""

from tests.service.contract import contract

METHODS = ("get", "post", "put", "patch", "delete")


def listed() -> set[tuple[str, str]]:
    """Operation and status, each that the contract lists."""
    return {
        (operation["operationId"], status)
        for path in contract()["paths"].values()
        for method, operation in path.items()
        if method in METHODS
        for status in operation["responses"]
    }


def missing(reached: set[tuple[str, str]]) -> list[tuple[str, str]]:
    """What is listed and was reached by no test."""
    return sorted(listed() - reached)

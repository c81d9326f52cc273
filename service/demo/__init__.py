"""Requests of invented boats and owners, one a file."""

from __future__ import annotations

from functools import cache
from pathlib import Path

_FOLDER = Path(__file__).parent


@cache
def demo_names() -> tuple[str, ...]:
    """Names of the requests, the first of them the one to begin with."""
    return tuple(sorted(path.stem for path in _FOLDER.glob("*.json")))


@cache
def demo_request(name: str) -> bytes:
    """A request's bytes. Raises KeyError for a name that is none."""
    if name not in demo_names():
        raise KeyError(name)
    return (_FOLDER / f"{name}.json").read_bytes()

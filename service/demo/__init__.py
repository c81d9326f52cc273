"""Sample requests with invented boats and owners, one per file."""

from __future__ import annotations

from functools import cache
from pathlib import Path

_FOLDER = Path(__file__).parent


@cache
def demo_names() -> tuple[str, ...]:
    """The names of the requests; the first is the one to begin with."""
    return tuple(sorted(path.stem for path in _FOLDER.glob("*.json")))


@cache
def demo_request(name: str) -> bytes:
    """A request's bytes. Raises KeyError for an unknown name."""
    if name not in demo_names():
        raise KeyError(name)
    return (_FOLDER / f"{name}.json").read_bytes()

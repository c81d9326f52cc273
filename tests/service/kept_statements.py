"""Keeps what SQLAlchemy compiled, since tests open a new database each, and ask each the same: to compile took half of the time of a new one's statements."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any

from sqlalchemy import Engine
from sqlalchemy.util import LRUCache

from service.storage import engines


class _Shared:
    """A cache for the databases of one kind: the key of a statement begins with the dialect, which each engine has anew, by the same settings."""

    def __init__(self) -> None:
        self._kept: LRUCache[Any, Any] = LRUCache(2000)

    def get(self, key: tuple[Any, ...]) -> Any:
        return self._kept.get(key[1:])

    def __setitem__(self, key: tuple[Any, ...], compiled: Any) -> None:
        self._kept[key[1:]] = compiled


def keep_compiled_statements() -> None:
    """From now on, in this process, for the databases that the service opens. Does nothing where SQLAlchemy keeps statements otherwise."""
    create_engine: Callable[..., Engine] = engines.create_engine
    shared: dict[str, _Shared] = {}

    @wraps(create_engine)
    def created(*arguments: Any, **options: Any) -> Engine:
        engine = create_engine(*arguments, **options)
        if hasattr(engine, "_compiled_cache"):
            engine._compiled_cache = shared.setdefault(f"{engine.dialect.name}+{engine.dialect.driver}", _Shared())  # type: ignore[assignment]
        return engine

    engines.create_engine = created

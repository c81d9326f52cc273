"""Caches what Werkzeug compiles for a rule, since tests create many applications with the same routes.

Compiling takes nine tenths of the time needed to create an application, and most tests create one. Each application still does its own
routing.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any

from werkzeug.routing import Rule


def keep_compiled_routes() -> None:
    """From now on, in this process. Does nothing where Werkzeug compiles otherwise."""
    compile_builder: Callable[..., Any] | None = getattr(Rule, "_compile_builder", None)
    if compile_builder is None:
        return
    kept: dict[object, Any] = {}

    @wraps(compile_builder)
    def once(rule: Rule, append_unknown: bool = True) -> Any:
        # all that the compiled function is made from; it is given its rule, with the converters, when it is called
        key = rule.rule, tuple(rule._trace), repr(rule.defaults), append_unknown
        if key not in kept:
            kept[key] = compile_builder(rule, append_unknown)
        return kept[key]

    Rule._compile_builder = once  # type: ignore[method-assign]

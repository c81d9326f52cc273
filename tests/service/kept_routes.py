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
    _keep_parsed_rules()


def _keep_parsed_rules() -> None:
    """A rule's parts and converters; none of these is changed once it is made, and no converter here looks at its map."""
    parse: Callable[[Rule, str], Any] | None = getattr(Rule, "_parse_rule", None)
    if parse is None:
        return
    kept: dict[object, Any] = {}

    @wraps(parse)
    def once(rule: Rule, text: str) -> Any:
        # the converters' classes decide what a part matches
        key = text, rule.merge_slashes, tuple(rule.map.converters.items()) if rule.map else None
        if key not in kept:
            before = len(rule._trace)
            parts = [*parse(rule, text)]
            kept[key] = parts, rule._trace[before:], dict(rule._converters)
            return parts
        parts, trace, converters = kept[key]
        rule._trace.extend(trace)
        rule._converters.update(converters)
        rule.arguments.update(converters)
        return parts

    Rule._parse_rule = once  # type: ignore[method-assign]

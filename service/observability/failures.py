"""Describes a failure for the log: exception types and code locations, but no messages or values, which may be personal data."""

from __future__ import annotations

import errno
import traceback
from collections.abc import Iterator

from sqlalchemy.exc import DBAPIError

from service.storage.errors import server_words


def trace(failure: BaseException) -> str:
    """The traceback of a failure, including its causes."""
    return "\n".join(_lines(failure, set())).rstrip()


def _lines(failure: BaseException, seen: set[int]) -> Iterator[str]:
    seen.add(id(failure))
    before = failure.__cause__ or (None if failure.__suppress_context__ else failure.__context__)
    if before is not None and id(before) not in seen:
        yield from _lines(before, seen)
        yield "which led to:"
    yield "".join(traceback.format_tb(failure.__traceback__)).rstrip()
    yield _description(failure)


def _description(failure: BaseException) -> str:
    kind = type(failure)
    name = kind.__qualname__ if kind.__module__ == "builtins" else f"{kind.__module__}.{kind.__qualname__}"
    if isinstance(failure, DBAPIError):
        return f"{name}: {server_words(failure)}"
    if isinstance(failure, OSError) and failure.errno is not None and failure.errno in errno.errorcode:
        return f"{name}: {errno.errorcode[failure.errno]}"
    return name

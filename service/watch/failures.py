"""A failure as the log may tell it: which kinds, and where in the program, but no message and no value: those may be somebody's data."""

from __future__ import annotations

import errno
import traceback
from collections.abc import Iterator

from sqlalchemy.exc import DBAPIError

from service.storage.troubles import server_words


def trace(failure: BaseException) -> str:
    """The way of a failure through the program, with what led to it."""
    return "\n".join(_told(failure, set())).rstrip()


def _told(failure: BaseException, seen: set[int]) -> Iterator[str]:
    seen.add(id(failure))
    before = failure.__cause__ or (None if failure.__suppress_context__ else failure.__context__)
    if before is not None and id(before) not in seen:
        yield from _told(before, seen)
        yield "which led to:"
    yield "".join(traceback.format_tb(failure.__traceback__)).rstrip()
    yield _named(failure)


def _named(failure: BaseException) -> str:
    kind = type(failure)
    name = kind.__qualname__ if kind.__module__ == "builtins" else f"{kind.__module__}.{kind.__qualname__}"
    if isinstance(failure, DBAPIError):
        return f"{name}: {server_words(failure)}"
    if isinstance(failure, OSError) and failure.errno is not None and failure.errno in errno.errorcode:
        return f"{name}: {errno.errorcode[failure.errno]}"
    return name

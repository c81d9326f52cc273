"""The messages between the caller and the computing process."""

from __future__ import annotations

import pickle
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Any

from service.computing.budget import Budget
from service.storage import Edition

What = Callable[..., Any]


@dataclass(frozen=True, slots=True)
class Task:
    """A call of `what` with the engine of an edition, as of a day, and the arguments `given`. `what` is pickled by name, so it must be
    defined at module level.
    """

    what: What
    edition: Edition
    day: date
    given: tuple[Any, ...]
    budget: Budget


@dataclass(frozen=True, slots=True)
class TablesWanted:
    """The computing process does not have the tables of this edition, and continues once they are sent."""


@dataclass(frozen=True, slots=True)
class Made:
    """The result, and how long it took."""

    value: Any
    seconds: float


@dataclass(frozen=True, slots=True)
class Refused:
    """The request was refused. The error is sent in parts, since pickle cannot rebuild exceptions whose constructors take other
    arguments than the message.
    """

    kind: type[Exception]
    args: tuple[Any, ...]
    attributes: dict[str, Any]
    seconds: float

    @classmethod
    def of(cls, error: Exception, seconds: float) -> Refused:
        """Take an error apart."""
        return cls(type(error), error.args, dict(vars(error)), seconds)

    def error(self) -> Exception:
        """The error, put together again."""
        made = self.kind.__new__(self.kind)
        made.args = self.args
        vars(made).update(self.attributes)
        return made


@dataclass(frozen=True, slots=True)
class OutOfMemory:
    """The process could not allocate more memory."""


@dataclass(frozen=True, slots=True)
class Failed:
    """The computation failed through a bug; the details are in the log of the computing process."""


def packed(message: object) -> bytes:
    """A message as bytes."""
    return pickle.dumps(message, pickle.HIGHEST_PROTOCOL)


def unpacked(sent: bytes) -> Any:
    """The message in these bytes. Unpickling is safe here: only this program's own processes have an end of the socket."""
    return pickle.loads(sent)  # noqa: S301

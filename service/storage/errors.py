"""Explains a database failure to the caller in one sentence, with what to do."""

from __future__ import annotations

from sqlalchemy.exc import DBAPIError, InterfaceError, OperationalError, SQLAlchemyError
from sqlalchemy.exc import TimeoutError as Waited

PASSING = (OperationalError, InterfaceError, Waited)  # may be transient; any other failure is a fault in the service
RETRY_SECONDS = 5
BUSY = "The database was locked for too long. Nothing was changed: send the request again."
FULL = "The database has no space left. Nothing was changed: free some space, then send the request again."
GONE = "The database does not respond, or stopped responding. Check whether the change was made before you send it again."
_BUSY_NAMES = frozenset({"LockNotAvailable", "QueryCanceled", "DeadlockDetected", "SerializationFailure", "TooManyConnections"})


def server_words(error: SQLAlchemyError) -> str:
    """The database's message for the log, never including values, which may be personal data.

    SQLite names only tables and columns. PostgreSQL quotes values and whole rows, so for it only the class, state and names are
    logged; an error without a state never reached a row.
    """
    original = getattr(error, "orig", None)
    if original is None:
        return type(error).__name__
    state, seen = getattr(original, "sqlstate", None), getattr(original, "diag", None)
    if state is None:
        return f"{type(original).__name__}: {original}"
    names = [each for each in (getattr(seen, part, None) for part in ("table_name", "column_name", "constraint_name")) if each]
    return " ".join([type(original).__name__, str(state), *names])


def words_for(error: SQLAlchemyError) -> str:
    """The sentence for a possibly transient failure."""
    if isinstance(error, Waited):
        return BUSY
    if not isinstance(error, DBAPIError):
        return GONE
    name, message = type(error.orig).__name__, str(error.orig)
    if name in _BUSY_NAMES or "locked" in message or "busy" in message:
        return BUSY
    return FULL if name == "DiskFull" or "is full" in message else GONE

"""What a database's failure means for the one who asked, in one sentence with what to do."""

from __future__ import annotations

from sqlalchemy.exc import DBAPIError, InterfaceError, OperationalError, SQLAlchemyError
from sqlalchemy.exc import TimeoutError as Waited

PASSING = (OperationalError, InterfaceError, Waited)  # what may pass by itself; any other failure is a fault of the service
RETRY_SECONDS = 5
BUSY = "Others hold the database for too long. Nothing was changed: send the request again."
FULL = "The database has no space left. Nothing was changed: make room, then send the request again."
GONE = "The database does not answer, or stopped answering. Look whether a change was made before sending it again."
_BUSY_NAMES = frozenset({"LockNotAvailable", "QueryCanceled", "DeadlockDetected", "SerializationFailure", "TooManyConnections"})


def server_words(error: SQLAlchemyError) -> str:
    """What the database said, for the log: never a value, which may be somebody's data.

    SQLite names tables and columns only. PostgreSQL quotes values and whole rows, so of it the class, the state and the names are told;
    what has no state never reached a row.
    """
    said = getattr(error, "orig", None)
    if said is None:
        return type(error).__name__
    state, seen = getattr(said, "sqlstate", None), getattr(said, "diag", None)
    if state is None:
        return f"{type(said).__name__}: {said}"
    names = [each for each in (getattr(seen, part, None) for part in ("table_name", "column_name", "constraint_name")) if each]
    return " ".join([type(said).__name__, str(state), *names])


def words_for(error: SQLAlchemyError) -> str:
    """The sentence for a failure that may pass."""
    if isinstance(error, Waited):
        return BUSY
    if not isinstance(error, DBAPIError):
        return GONE
    name, said = type(error.orig).__name__, str(error.orig)
    if name in _BUSY_NAMES or "locked" in said or "busy" in said:
        return BUSY
    return FULL if name == "DiskFull" or "is full" in said else GONE

"""Constant statements in the words of a database's driver, run past what SQLAlchemy does for transactions and for results of any shape.

Of what a row by its key costs on SQLite, nine tenths were the beginning and the end of a transaction and the objects between; of storing a
quote's rows, a half. Only columns whose values the drivers take and hand over as they are may stand in such a statement. What fails is
raised as SQLAlchemy's own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from operator import itemgetter
from typing import Any, NamedTuple

from sqlalchemy import Connection, Dialect, Engine, Insert, Integer, LargeBinary, Select, String
from sqlalchemy.exc import DBAPIError, MultipleResultsFound

_AS_THEY_ARE = (Integer, LargeBinary, String)
Given = Mapping[str, Any]
Statement = Select[Any] | Insert


class _Ready(NamedTuple):
    text: str
    bound: Callable[[Given], Any]
    statement: Statement  # kept, so that its id is no other's


_ready: dict[tuple[int, str], _Ready] = {}


def row(connection: Connection, statement: Statement, given: Given) -> Sequence[Any] | None:
    """The one row that a statement gives, or None. Raises SQLAlchemyError; MultipleResultsFound if there are more."""
    ready = _of(statement, connection.dialect)
    with _told(ready, connection.dialect):
        return _one(connection.connection.cursor(), ready, given)


def count(connection: Connection, statement: Statement, given: Given) -> int:
    """Run a statement that gives no rows. Returns how many it changed. Raises SQLAlchemyError."""
    ready = _of(statement, connection.dialect)
    with _told(ready, connection.dialect):
        cursor = connection.connection.cursor()
        cursor.execute(ready.text, ready.bound(given))
        changed: int = cursor.rowcount
        cursor.close()
    return changed


def each(connection: Connection, statement: Statement, rows: Sequence[Given]) -> None:
    """Run a statement for each of these. Raises SQLAlchemyError."""
    ready = _of(statement, connection.dialect)
    with _told(ready, connection.dialect):
        cursor = connection.connection.cursor()
        cursor.executemany(ready.text, [ready.bound(given) for given in rows])
        cursor.close()


def run(connection: Connection, text: str) -> None:
    """Run a statement that has no values and gives no rows, such as one about a savepoint. Raises SQLAlchemyError."""
    try:
        cursor = connection.connection.cursor()
        cursor.execute(text)
        cursor.close()
    except connection.dialect.loaded_dbapi.Error as error:
        raise told(text, error, connection.dialect) from error


def look(engine: Engine, statement: Statement, given: Given) -> Sequence[Any] | None:
    """The one row, or None, on a connection of the pool and in no transaction: a statement sees one state of the database by itself. Raises
    as `row` does.
    """
    ready = _of(statement, engine.dialect)
    with _told(ready, engine.dialect):
        connection = engine.raw_connection()
        try:
            return _one(connection.cursor(), ready, given)
        except engine.dialect.loaded_dbapi.Error:
            connection.invalidate()  # it may be broken; the pool opens another
            raise
        finally:
            connection.close()


def _one(cursor: Any, ready: _Ready, given: Given) -> Sequence[Any] | None:
    cursor.execute(ready.text, ready.bound(given))
    found: Sequence[Any] | None = cursor.fetchone()
    more = found is not None and cursor.fetchone() is not None
    cursor.close()
    if more:
        raise MultipleResultsFound("Multiple rows were found when one or none was required")
    return found


def _of(statement: Statement, dialect: Dialect) -> _Ready:
    return _ready.get((id(statement), dialect.name)) or _compiled(statement, dialect)


def _compiled(statement: Statement, dialect: Dialect) -> _Ready:
    compiled: Any = statement.compile(dialect=dialect)
    columns = [*compiled.statement.exported_columns, *compiled.binds.values()]
    other = [str(column) for column in columns if not isinstance(column.type, _AS_THEY_ARE)]
    if other:
        raise TypeError(f"{', '.join(other)}: run this with `execute`, which converts what the driver takes and hands over")
    if compiled.post_compile_params:
        raise TypeError("lists of values are written into a statement each time: run this with `execute`")
    fixed = {name: value for name, value in compiled.params.items() if value is not None}
    if compiled.positional:
        names = tuple(compiled.positiontup)
        bound = (lambda given: tuple([fixed[name] if name in fixed else given[name] for name in names])) if fixed else _in_order(names)
    else:
        bound = lambda given: {**fixed, **given}  # noqa: E731
    ready = _ready[id(statement), dialect.name] = _Ready(str(compiled), bound, statement)
    return ready


def _in_order(names: tuple[str, ...]) -> Callable[[Given], Any]:
    return itemgetter(*names) if len(names) > 1 else lambda given: tuple([given[name] for name in names])


@contextmanager
def _told(ready: _Ready, dialect: Dialect) -> Iterator[None]:
    """Raise the driver's errors as SQLAlchemy's, without the values, which may be personal data."""
    failures = dialect.loaded_dbapi.Error
    try:
        yield
    except failures as error:
        raise told(ready.text, error, dialect) from error


def told(text: str, error: Any, dialect: Dialect) -> Any:
    """A driver's error as SQLAlchemy's."""
    return DBAPIError.instance(text, None, error, dialect.loaded_dbapi.Error, hide_parameters=True, dialect=dialect)

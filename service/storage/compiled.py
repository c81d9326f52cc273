"""Runs constant statements directly on the database driver, as SQL that SQLAlchemy compiled once.

This bypasses SQLAlchemy's transaction handling and result objects, which took nine tenths of the time of reading one row by its key on
SQLite, and half of the time of storing a quote's rows. Such a statement may only contain columns whose values the driver accepts and
returns unconverted. Errors are raised as SQLAlchemy's own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from operator import itemgetter
from typing import Any, NamedTuple

from sqlalchemy import Connection, Dialect, Engine, Insert, Integer, LargeBinary, Select, String
from sqlalchemy.exc import DBAPIError, MultipleResultsFound

_UNCONVERTED = (Integer, LargeBinary, String)
Values = Mapping[str, Any]
Statement = Select[Any] | Insert


class _Compiled(NamedTuple):
    sql: str
    bind: Callable[[Values], Any]  # makes the driver's parameters from the values
    statement: Statement  # referenced so that its id, the key in the cache, is not reused


_cache: dict[tuple[int, str], _Compiled] = {}


def fetch_row(connection: Connection, statement: Statement, values: Values) -> Sequence[Any] | None:
    """The only row that a statement returns, or None. Raises SQLAlchemyError; MultipleResultsFound if there are more."""
    compiled = _compiled_for(statement, connection.dialect)
    with _sqlalchemy_errors(compiled, connection.dialect):
        return _one_row(connection.connection.cursor(), compiled, values)


def execute(connection: Connection, statement: Statement, values: Values) -> int:
    """Execute a statement that returns no rows; returns the number of rows it changed. Raises SQLAlchemyError."""
    compiled = _compiled_for(statement, connection.dialect)
    with _sqlalchemy_errors(compiled, connection.dialect):
        cursor = connection.connection.cursor()
        cursor.execute(compiled.sql, compiled.bind(values))
        changed: int = cursor.rowcount
        cursor.close()
    return changed


def execute_many(connection: Connection, statement: Statement, rows: Sequence[Values]) -> None:
    """Execute a statement once for each row of values. Raises SQLAlchemyError."""
    compiled = _compiled_for(statement, connection.dialect)
    with _sqlalchemy_errors(compiled, connection.dialect):
        cursor = connection.connection.cursor()
        cursor.executemany(compiled.sql, [compiled.bind(values) for values in rows])
        cursor.close()


def execute_text(connection: Connection, text: str) -> None:
    """Execute SQL that has no parameters and returns no rows, such as `SAVEPOINT`. Raises SQLAlchemyError."""
    try:
        cursor = connection.connection.cursor()
        cursor.execute(text)
        cursor.close()
    except connection.dialect.loaded_dbapi.Error as error:
        raise as_sqlalchemy_error(text, error, connection.dialect) from error


def read_row(engine: Engine, statement: Statement, values: Values) -> Sequence[Any] | None:
    """Like `fetch_row`, on a pooled connection and outside any transaction: a single statement sees one consistent state by itself."""
    compiled = _compiled_for(statement, engine.dialect)
    with _sqlalchemy_errors(compiled, engine.dialect):
        connection = engine.raw_connection()
        try:
            return _one_row(connection.cursor(), compiled, values)
        except engine.dialect.loaded_dbapi.Error:
            connection.invalidate()  # it may be broken; the pool opens a new one
            raise
        finally:
            connection.close()


def _one_row(cursor: Any, compiled: _Compiled, values: Values) -> Sequence[Any] | None:
    cursor.execute(compiled.sql, compiled.bind(values))
    row: Sequence[Any] | None = cursor.fetchone()
    more = row is not None and cursor.fetchone() is not None
    cursor.close()
    if more:
        raise MultipleResultsFound("Multiple rows were found when one or none was required")
    return row


def _compiled_for(statement: Statement, dialect: Dialect) -> _Compiled:
    return _cache.get((id(statement), dialect.name)) or _compile(statement, dialect)


def _compile(statement: Statement, dialect: Dialect) -> _Compiled:
    compiled: Any = statement.compile(dialect=dialect)
    columns = [*compiled.statement.exported_columns, *compiled.binds.values()]
    converted = [str(column) for column in columns if not isinstance(column.type, _UNCONVERTED)]
    if converted:
        raise TypeError(f"{', '.join(converted)}: the values need conversion, so run this with SQLAlchemy's `execute`")
    if compiled.post_compile_params:
        raise TypeError("a statement with a list of values is compiled anew each time: run this with SQLAlchemy's `execute`")
    fixed = {name: value for name, value in compiled.params.items() if value is not None}
    if compiled.positional:
        names = tuple(compiled.positiontup)
        bind = (lambda values: tuple([fixed[name] if name in fixed else values[name] for name in names])) if fixed else _in_order(names)
    else:
        bind = lambda values: {**fixed, **values}  # noqa: E731
    result = _cache[id(statement), dialect.name] = _Compiled(str(compiled), bind, statement)
    return result


def _in_order(names: tuple[str, ...]) -> Callable[[Values], Any]:
    return itemgetter(*names) if len(names) > 1 else lambda values: tuple([values[name] for name in names])


@contextmanager
def _sqlalchemy_errors(compiled: _Compiled, dialect: Dialect) -> Iterator[None]:
    """Raise the driver's errors as SQLAlchemy's, without the values, which may be personal data."""
    failures = dialect.loaded_dbapi.Error
    try:
        yield
    except failures as error:
        raise as_sqlalchemy_error(compiled.sql, error, dialect) from error


def as_sqlalchemy_error(text: str, error: Any, dialect: Dialect) -> Any:
    """The SQLAlchemy error that wraps a driver's error."""
    return DBAPIError.instance(text, None, error, dialect.loaded_dbapi.Error, hide_parameters=True, dialect=dialect)

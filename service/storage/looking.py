"""Single rows, read by one statement on a connection of the pool, past what SQLAlchemy does for transactions and for results of any shape.

A statement sees one state of the database by itself, so none of these begins a transaction: of what a row by its key costs on SQLite, nine
tenths were the beginning, the end, and the objects between. Only columns whose values the drivers hand over as they are may be read.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple

from sqlalchemy import Engine, Integer, LargeBinary, Select, String
from sqlalchemy.exc import DBAPIError, MultipleResultsFound

_AS_THEY_ARE = (Integer, LargeBinary, String)
Given = Mapping[str, str | int]


class _Ready(NamedTuple):
    text: str
    bound: Callable[[Given], Any]
    statement: Select[Any]  # kept, so that its id is no other's


class Looks:
    """The statements of one engine, each compiled once. They must be constants: what is compiled is kept."""

    def __init__(self, engine: Engine) -> None:
        self._engine, self._ready = engine, dict[int, _Ready]()

    def one(self, statement: Select[Any], given: Given) -> Sequence[Any] | None:
        """The one row, or None. Raises SQLAlchemyError as an execution by the engine does; MultipleResultsFound."""
        ready = self._ready.get(id(statement)) or self._compiled(statement)
        failures = self._engine.dialect.loaded_dbapi.Error
        try:
            connection = self._engine.raw_connection()
        except failures as error:
            raise self._told(ready, error) from error
        try:
            cursor = connection.cursor()
            cursor.execute(ready.text, ready.bound(given))
            row: Sequence[Any] | None = cursor.fetchone()
            more = row is not None and cursor.fetchone() is not None
            cursor.close()
        except failures as error:
            connection.invalidate()  # it may be broken; the pool opens another
            raise self._told(ready, error) from error
        finally:
            connection.close()
        if more:
            raise MultipleResultsFound("Multiple rows were found when one or none was required")
        return row

    def _compiled(self, statement: Select[Any]) -> _Ready:
        other = [column.name for column in statement.selected_columns if not isinstance(column.type, _AS_THEY_ARE)]
        if other:
            raise TypeError(f"{', '.join(other)}: read this with `reading`, which converts what the driver hands over")
        compiled = statement.compile(dialect=self._engine.dialect)
        if compiled.post_compile_params:
            raise TypeError("lists of values are written into a statement each time: read this with `reading`")
        fixed = dict(compiled.params)
        if compiled.positional:
            names = tuple(compiled.positiontup or ())
            ready = _Ready(str(compiled), lambda given: tuple((fixed | dict(given))[name] for name in names), statement)
        else:
            ready = _Ready(str(compiled), lambda given: fixed | dict(given), statement)
        self._ready[id(statement)] = ready
        return ready

    def _told(self, ready: _Ready, error: Any) -> BaseException | Any:
        """The driver's error as SQLAlchemy's, without the values, which may be personal data."""
        dialect = self._engine.dialect
        return DBAPIError.instance(ready.text, None, error, dialect.loaded_dbapi.Error, hide_parameters=True, dialect=dialect)

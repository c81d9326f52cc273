"""The columns: their names are the request's fields joined by dots, derived from the schemas so that the two cannot diverge."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache, lru_cache
from typing import Any

from marshmallow.fields import Field

from service.schemas.fields import Count, Flag, Length, WrittenLength
from service.schemas.request import SHAPE
from service.schemas.schema import Many, Object, RequestSchema

CUSTOM_ID = "custom_id"  # the boat's line, by the sender's own name of it
FORMER_ID = "line"  # its name before, still read
BOTH = ("note", "work")  # fields of the assembly, by their names alone, and of the request, behind this
OF_REQUEST = "request."
MOST_COLUMNS = 400
MOST_NUMBERED = 20
LIST, FLAG, COUNT, LENGTH, TEXT = "list", "flag", "count", "length", "text"
NEEDED = ("tag", "role", "wire.construction", "upper.terminal", "lower.terminal", "measurement.readings")
Path = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Column:
    """A column: where its cells go, and how they are read. `shared`: it belongs to the request, not to an assembly."""

    name: str
    path: Path
    kind: str
    shared: bool


class HeaderFault(ValueError):
    """A header that cannot be used; each of `faults` has the column (as written), a code and what to do."""

    def __init__(self, faults: Sequence[tuple[str, str, str]]) -> None:
        super().__init__("; ".join(detail for _, _, detail in faults))
        self.faults = tuple(faults)


def columns_of(names: Sequence[str]) -> tuple[Column, ...]:
    """The columns that a header names. Raises HeaderFault with every fault."""
    written = [name.strip() for name in names]
    while written and not written[-1]:  # spreadsheets leave empty columns at the right edge
        written.pop()
    if len(written) > MOST_COLUMNS:
        raise HeaderFault([("", "too_many_columns", f"at most {MOST_COLUMNS} columns are read")])
    faults: list[tuple[str, str, str]] = []
    found: dict[str, Column] = {}
    for place, name in enumerate(written, 1):
        column = column_named(name)
        if column is None:
            faults.append((name[:80] or f"column {place}", "unknown_column", advice(name[:80])))
        elif any(each.path == column.path and each.shared == column.shared for each in found.values()):
            faults.append((name, "duplicate_column", "the header row names this column twice: keep one of them"))
        else:
            found[column.name] = column
    return _sound(found, faults)


def _sound(found: dict[str, Column], faults: list[tuple[str, str, str]]) -> tuple[Column, ...]:
    if not faults:
        numbered = {name.rpartition(".")[0] if name.rpartition(".")[2] == "1" else name for name in found}
        faults = [(name, "missing_column", f"the header row lacks the column {name}") for name in NEEDED if name not in numbered]
    if faults:
        raise HeaderFault(faults)
    return tuple(found.values())


@lru_cache(maxsize=1024)
def column_named(name: str) -> Column | None:
    """The column with this name, in any letter case; None if no field of a request has it."""
    name = name.casefold()
    if name in (CUSTOM_ID, FORMER_ID):
        return Column(name, (CUSTOM_ID,), TEXT, shared=True)
    found = _found(name)
    return None if found is None else Column(name, found[1], _kind(found[0]), _is_shared(name))


def field_named(name: str) -> Field[Any] | None:
    """The request's field that a column fills; None if there is none, or if a cell cannot hold it."""
    found = _found(name)
    return found and found[0]


def _found(name: str) -> tuple[Field[Any], Path] | None:
    return _resolved(SHAPE if _is_shared(name) else _assembly_schema(), name.removeprefix(OF_REQUEST).split("."))


def _is_shared(name: str) -> bool:
    first = name.removeprefix(OF_REQUEST).partition(".")[0]
    return first in BOTH if name.startswith(OF_REQUEST) else first in _request_fields() and first not in ("assemblies", *BOTH)


@cache
def _request_fields() -> frozenset[str]:
    return frozenset(SHAPE.fields)


@cache
def _assembly_schema() -> RequestSchema:
    return _schema_of(SHAPE.fields["assemblies"].inner)  # type: ignore[attr-defined]  # a list


def _schema_of(field: Field[Any]) -> RequestSchema:
    found = field.schema  # type: ignore[attr-defined]  # an object
    assert isinstance(found, RequestSchema)  # noqa: S101  # every object of a request is one
    return found


def _named(schema: RequestSchema) -> dict[str, tuple[str, Field[Any]]]:
    return {(field.data_key or name).casefold(): (field.data_key or name, field) for name, field in schema.fields.items()}


def _resolved(schema: RequestSchema, steps: Sequence[str]) -> tuple[Field[Any], Path] | None:
    """The field at the end of these steps and its path in the request; None if there is none, or if a cell cannot hold it."""
    name, field = _named(schema).get(steps[0], ("", None))
    if field is None:
        return None
    return _below(field, (name,), steps[1:])


def _below(field: Field[Any], path: Path, rest: Sequence[str]) -> tuple[Field[Any], Path] | None:
    if isinstance(field, Many):
        if not rest:
            return (field, path) if _in_one_cell(field) else None
        if not (rest[0].isascii() and rest[0].isdigit() and 1 <= int(rest[0]) <= min(field.most, MOST_NUMBERED)):
            return None
        return _below(field.inner, (*path, int(rest[0]) - 1), rest[1:])
    if isinstance(field, Object):
        if not rest:
            return (field, path) if _shorthand(field) else None
        below = _resolved(_schema_of(field), rest)
        return None if below is None else (below[0], (*path, *below[1]))
    return None if rest else (field, path)


def _shorthand(field: Field[Any]) -> bool:
    """Whether plain text may stand for the object."""
    return isinstance(field, Object) and type(field).expand is not Object.expand


def _in_one_cell(field: Many) -> bool:
    return not isinstance(field.inner, Object) or _shorthand(field.inner)


def _kind(field: Field[Any]) -> str:
    if isinstance(field, Many):
        return LIST
    if isinstance(field, Flag):
        return FLAG
    if isinstance(field, Length | WrittenLength):
        return LENGTH
    return COUNT if isinstance(field, Count) else TEXT


def advice(name: str, *, search: bool = True) -> str:
    """What to do about an unknown column name; with `search`, suggests similar names."""
    if not name:
        return "the header row has an empty name between others: name the column after a field of the request, or delete it"
    near = get_close_matches(name.casefold(), usual_names(), 3, 0.6) if search else []
    close = f"; did you mean {' or '.join(near)}?" if near else ""
    return f"no field of a request has this name{close}"


@cache
def usual_names() -> tuple[str, ...]:
    """All columns, with only the first item of each list."""
    shared = [name for name, field in SHAPE.fields.items() if name not in ("assemblies", *BOTH) for name in _leaves(name, field)]
    shared += [name for each in BOTH for name in _leaves(f"{OF_REQUEST}{each}", SHAPE.fields[each])]
    own = [name for name, field in _named(_assembly_schema()).values() for name in _leaves(name, field)]
    return (CUSTOM_ID, *shared, *own)


def _leaves(name: str, field: Field[Any]) -> Iterator[str]:
    if isinstance(field, Many):
        if _in_one_cell(field):
            yield name
        if isinstance(field.inner, Object):
            yield from _leaves(f"{name}.1", field.inner)
    elif isinstance(field, Object):
        for inner, below in _named(_schema_of(field)).values():
            yield from _leaves(f"{name}.{inner}", below)
    else:
        yield name

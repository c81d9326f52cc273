"""The columns: their names are the request's fields with dots between them, taken from the schemas, so that neither can drift."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache, lru_cache
from typing import Any

from marshmallow.fields import Field

from service.schemas.fields import Count, Flag, Length, WrittenLength
from service.schemas.request import SHAPE
from service.schemas.shape import Many, Object, Shape

LINE = "line"
REQUEST_NOTE = "request.note"  # `note` alone is the assembly's
MOST_COLUMNS = 400
MOST_NUMBERED = 20
LIST, FLAG, COUNT, LENGTH, TEXT = "list", "flag", "count", "length", "text"
NEEDED = ("tag", "role", "wire.construction", "upper.terminal", "lower.terminal", "measurement.readings")
Path = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Column:
    """A column: where its cells go, and how one is read. `shared`: it is the request's and not an assembly's."""

    name: str
    path: Path
    kind: str
    shared: bool


class HeaderFault(ValueError):
    """A heading that cannot be used; `faults` holds column (as written), code and what to do, each."""

    def __init__(self, faults: Sequence[tuple[str, str, str]]) -> None:
        super().__init__("; ".join(detail for _, _, detail in faults))
        self.faults = tuple(faults)


def columns_of(names: Sequence[str]) -> tuple[Column, ...]:
    """The columns that a heading names. Raises HeaderFault with every fault."""
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
        elif column.name in found:
            faults.append((name, "duplicate_column", "the heading names this column twice: keep the one that is meant"))
        else:
            found[column.name] = column
    return _sound(found, faults)


def _sound(found: dict[str, Column], faults: list[tuple[str, str, str]]) -> tuple[Column, ...]:
    if not faults:
        numbered = {name.rpartition(".")[0] if name.rpartition(".")[2] == "1" else name for name in found}
        faults = [(name, "missing_column", f"a heading needs the column {name}") for name in NEEDED if name not in numbered]
    if faults:
        raise HeaderFault(faults)
    return tuple(found.values())


@lru_cache(maxsize=1024)
def column_named(name: str) -> Column | None:
    """The column of that name, whatever its case; None where no field of a request has it."""
    name = name.casefold()
    if name == LINE:
        return Column(LINE, (LINE,), TEXT, shared=True)
    if name == REQUEST_NOTE:
        return Column(name, ("note",), TEXT, shared=True)
    whole, assembly = _request_fields(), _assembly_shape()
    steps = name.split(".")
    shared = steps[0] in whole and steps[0] not in ("assemblies", "note")
    found = _resolved(SHAPE if shared else assembly, steps)
    if found is None:
        return None
    field, path = found
    return Column(name, path, _kind(field), shared)


@cache
def _request_fields() -> frozenset[str]:
    return frozenset(SHAPE.fields)


@cache
def _assembly_shape() -> Shape:
    return _shape_of(SHAPE.fields["assemblies"].inner)  # type: ignore[attr-defined]  # a list


def _shape_of(field: Field[Any]) -> Shape:
    found = field.schema  # type: ignore[attr-defined]  # an object
    assert isinstance(found, Shape)  # noqa: S101  # every object of a request is one
    return found


def _named(shape: Shape) -> dict[str, tuple[str, Field[Any]]]:
    return {(field.data_key or name).casefold(): (field.data_key or name, field) for name, field in shape.fields.items()}


def _resolved(shape: Shape, steps: Sequence[str]) -> tuple[Field[Any], Path] | None:
    """The field at the end of these steps and its path in the request; None where there is none that a cell can hold."""
    name, field = _named(shape).get(steps[0], ("", None))
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
        below = _resolved(_shape_of(field), rest)
        return None if below is None else (below[0], (*path, *below[1]))
    return None if rest else (field, path)


def _shorthand(field: Field[Any]) -> bool:
    """Whether plain text stands for the object."""
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


def advice(name: str) -> str:
    """What to do about a name that is no column's."""
    if not name:
        return "the heading has an empty name between others: name the column after a field of the request, or delete it"
    near = get_close_matches(name.casefold(), usual_names(), 3, 0.6)
    close = f"; did you mean {' or '.join(near)}?" if near else ""
    return f"no field of a request has this name{close}"


@cache
def usual_names() -> tuple[str, ...]:
    """Every column there is, of each list the first item's."""
    shared = [name for name, field in SHAPE.fields.items() if name not in ("assemblies", "note") for name in _leaves(name, field)]
    own = [name for name, field in _named(_assembly_shape()).values() for name in _leaves(name, field)]
    return (LINE, *shared, REQUEST_NOTE, *own)


def _leaves(name: str, field: Field[Any]) -> Iterator[str]:
    if isinstance(field, Many):
        if _in_one_cell(field):
            yield name
        if isinstance(field.inner, Object):
            yield from _leaves(f"{name}.1", field.inner)
    elif isinstance(field, Object):
        for inner, below in _named(_shape_of(field)).values():
            yield from _leaves(f"{name}.{inner}", below)
    else:
        yield name

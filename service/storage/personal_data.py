"""Personal data outside a customer's own quotes: in settlements and questions of other quotes, histories, records of finished assemblies,
plans, stock movements, the log of editions, batch lines and summaries, stored responses, and the names of former staff.

`PLACES` lists every table with text written by people, and what is to be done with its rows. Rows to change are found while others
keep writing; each is then read again and changed in one transaction.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from sqlalchemy import Column, ColumnElement, Connection, Select, Table, and_, or_, select, tuple_, update

from service.encoding import json
from service.encoding.gzip import pack, unpack
from service.lifecycle import erasure
from service.lifecycle.personal_words import PersonalWords
from service.storage.batches import FAILED
from service.storage.chunks import UNHELD
from service.storage.database import Database
from service.storage.plans import summary_of
from service.storage.quotes import one
from service.storage.tables import (
    answers,
    as_built,
    batch_chunks,
    batch_lines,
    batches,
    cutting_plans,
    editions,
    editions_in_force,
    events,
    movements,
    quotes,
    shelf,
    staff,
)

Json = dict[str, Any]
Values = dict[str, Any]
AT_ONCE = 200


@dataclass(frozen=True)
class ErasureScope:
    """Whose data to find: a person's quotes by id and number, the words by which the person is known, and `who` as given in the request; or all
    data older than the day `before` (ISO). `plans` collects the ids of these quotes' cutting plans as they are found.
    """

    ids: frozenset[str]
    numbers: frozenset[str]
    words: PersonalWords
    who: str | None = None
    before: str = ""
    plans: set[str] = field(default_factory=set)

    def old(self, moment: str) -> bool:
        """Whether something from that time is older than the retention period."""
        return moment[:10] < self.before


class Place(NamedTuple):
    """A table with text written by people. `change` returns a row's new values, {} if the row is to be deleted, or None if it contains nothing
    of this person. `columns`: the columns to read, if not all.
    """

    table: Table
    change: Callable[[Connection, Any, ErasureScope], Values | None]
    where: ColumnElement[bool] | None = None
    columns: tuple[Column[Any], ...] = ()

    def rows(self) -> Select[Any]:
        """The statement that selects the rows."""
        return select(*(self.columns or self.table.columns))


class Trace(NamedTuple):
    """A row that contains data of the person."""

    place: Place
    key: tuple[Any, ...]
    row: Any

    def as_json(self) -> Json:
        """For an export: the table's name and the row, with packed values unpacked."""
        return {
            "table": self.place.table.name,
            **{str(name): _readable(value) for name, value in self.row._asdict().items() if value is not None},
        }


def find_traces(database: Database, scope: ErasureScope) -> list[Trace]:
    """Every row outside the person's own quotes that contains their data, table by table."""
    with database.reading() as connection:
        return [
            Trace(place, key, row)
            for place in PLACES
            for key, row in _rows(connection, place)
            if place.change(connection, row, scope) is not None
        ]


def change(connection: Connection, traces: list[Trace], scope: ErasureScope) -> None:
    """Remove the person from these rows, reading their current values first."""
    for place, key, _ in traces:
        this = and_(*(column == value for column, value in zip(place.table.primary_key, key, strict=True)))
        row = connection.execute(place.rows().where(this).with_for_update()).one_or_none()
        values = None if row is None else place.change(connection, row, scope)
        if values:
            connection.execute(update(place.table).where(this).values(**values))
        elif values is not None:
            connection.execute(place.table.delete().where(this))
        if place.table is batch_lines and row is not None and row.outcome is None:
            _free(connection, row)


def _rows(connection: Connection, place: Place) -> Iterator[tuple[tuple[Any, ...], Any]]:
    """Every row with its key, a page at a time."""
    keys = tuple(place.table.primary_key)
    query = place.rows().order_by(*keys).limit(AT_ONCE)
    if place.where is not None:
        query = query.where(place.where)
    after: tuple[Any, ...] | None = None
    while True:
        rows = connection.execute(query if after is None else query.where(tuple_(*keys) > tuple_(*after))).all()
        for row in rows:
            after = tuple(getattr(row, key.name) for key in keys)
            yield after, row
        if len(rows) < AT_ONCE:
            return


def _free(connection: Connection, line: Any) -> None:
    """Take the claim away from a worker that has already read the unchanged line, so that it cannot store a quote made from it."""
    these = (
        batch_chunks.c.batch_id == line.batch_id,
        batch_chunks.c.first <= line.place,
        batch_chunks.c.first + batch_chunks.c.count > line.place,
        batch_chunks.c.state == "working",
    )
    connection.execute(update(batch_chunks).where(*these).values(**UNHELD, attempts=batch_chunks.c.attempts - 1))


def _standing(_: Connection, row: Any, scope: ErasureScope) -> Values | None:
    """The standing of another customer's quote; that of the person's own quotes is erased with them (service/storage/customers.py)."""
    if row.id in scope.ids:
        return None
    standing = json.read(row.standing)
    erased = erasure.without_names(standing, scope.words)
    return None if erased is standing else {"standing": json.write(erased)}


def _event(_: Connection, row: Any, scope: ErasureScope) -> Values | None:
    values = {"by": row.by, "note": row.note}
    erased = dict.fromkeys(values) if row.quote_id in scope.ids else scope.words.removed_from(values, anywhere=True)
    return None if erased == values else erased


def _record(_: Connection, row: Any, scope: ErasureScope) -> Values | None:
    record = _read(row.document)
    own = row.quote_id in scope.ids
    return _packed("document", record, scope.words.removed_from(erasure.erased_record(record) if own else record, anywhere=not own))


def _plan(_: Connection, row: Any, scope: ErasureScope) -> Values | None:
    plan = erased = _read(row.document)
    if scope.ids & {row.quote_id, row.of_quote}:
        erased = erasure.erased_plan(plan)
    elif erasure.names_any(plan, scope.numbers):
        erased = erasure.erased_plan(plan, scope.numbers)
    own = erased is not plan
    if own:
        scope.plans.add(row.id)
    elif row.quote_id is None and not plan.get("quotes") and scope.old(row.created_at):
        erased = erasure.erased_lengths(plan)
    erased = scope.words.removed_from(erased, anywhere=not own)
    return None if erased == plan else {"document": _pack(erased), "summary": summary_of(erased)}


def _movement(_: Connection, row: Any, scope: ErasureScope) -> Values | None:
    record = _read(row.document)
    own = row.plan_id in scope.plans
    erased = erasure.erased_record(record) if own or scope.old(row.occurred_at) else record
    return _packed("document", record, scope.words.removed_from(erased, anywhere=not own))


def _shelf(_: Connection, row: Any, scope: ErasureScope) -> Values | None:
    """The source of a piece of wire. Its id stays, since it is printed on the label."""
    values = {"source": row.source}
    erased = scope.words.removed_from(values, anywhere=True)
    return None if erased is values else erased


def _accepted(_: Connection, row: Any, scope: ErasureScope) -> Values | None:
    """The accepted doubts of an edition: who accepted which, and why."""
    values = {"note": row.accepted}
    erased = scope.words.removed_from(values, anywhere=True)
    return None if erased is values else {"accepted": erased["note"]}


def _put(_: Connection, row: Any, scope: ErasureScope) -> Values | None:
    values = {"by": row.by, "note": row.words}
    erased = scope.words.removed_from(values, anywhere=True)
    return None if erased is values else {"by": erased["by"], "words": erased["note"]}


def _colleague(_: Connection, row: Any, scope: ErasureScope) -> Values | None:
    """A member of the shop's staff whose access has ended; until then the shop needs the name."""
    if row.ended_at is None or not row.name:
        return None
    values = {"by": row.name}
    return {"name": ""} if scope.words.removed_from(values, anywhere=True) is not values or scope.old(row.ended_at) else None


def _line(connection: Connection, row: Any, scope: ErasureScope) -> Values | None:
    old = bool(scope.before) and scope.old(_batch_made(connection, row.batch_id))
    if row.outcome is None and not (old and row.request is None):
        return _waiting(row, scope)
    if row.quote_id in scope.ids or (old and row.outcome != FAILED):
        return None if row.name is None else {"name": None}
    if row.outcome != FAILED:
        return _line_name(row.name, scope)
    problem = _read(row.said)
    values = {"custom_id": row.name, "problem": erasure.decoded_problem(problem)}
    if not old and scope.words.removed_from(values, anywhere=True) is values:
        return None
    erased = erasure.erased_problem(problem)
    return None if row.name is None and erased == problem else {"name": None, "said": _pack(erased)}


def _waiting(row: Any, scope: ErasureScope) -> Values | None:
    """A line that has not been quoted yet: it will be quoted without the person's data."""
    if row.subject in scope.ids:
        return {"name": None}
    request = _read(row.request) if row.request else {}
    customer = request.get("customer") if isinstance(request, dict) else None
    if scope.who is None or not isinstance(customer, dict) or not erasure.is_of(customer, scope.who):
        return _line_name(row.name, scope)
    words = erasure.words_of([({"customer": {}, "boat": {}}, request)], scope.who)
    return {"name": None, "request": _pack(erasure.erased_request(request, words))}


def _line_name(name: str | None, scope: ErasureScope) -> Values | None:
    values = {"custom_id": name}
    return None if scope.words.removed_from(values, anywhere=True) is values else {"name": None}


def _batch_made(connection: Connection, batch_id: str) -> str:
    return str(connection.execute(select(batches.c.created_at).where(batches.c.id == batch_id)).scalar_one())


def _batch(_: Connection, row: Any, scope: ErasureScope) -> Values | None:
    summary = _read(row.summary)
    erased = erasure.erased_summary(summary, None if scope.before and scope.old(row.created_at) else scope.ids)
    return _packed("summary", summary, scope.words.removed_from(erased, anywhere=erased is summary))


def _answer(connection: Connection, row: Any, scope: ErasureScope) -> Values | None:
    """A stored response. One that contains a quote is replaced by the quote's current state; from any other, such as a list of settlements or
    questions, the person's data is removed. One that cannot be parsed, or whose key names the person, is deleted.
    """
    named = {"note": row.key}
    if scope.words.removed_from(named, anywhere=True) is not named:
        return {}
    body = unpack(row.body).decode(errors="replace")
    quote = next((each for each in scope.ids if body.startswith(f'{{"id":"{each}"')), None)
    if quote is not None and (now := one(connection, quote)) is not None:
        values, language = _read(row.body), now.parsed().get("language", "en")
        if "open" in values:
            return {"body": _pack(erasure.erased_settlements(values, language, scope.words))}
        return {"body": _pack(erasure.erased_questions(values)) if "questions_left" in values else pack(now.body())}
    own = any(each in body or each in row.headers for each in (*scope.ids, *scope.plans))
    try:
        document = json.read(body.encode())
    except (json.NotJson, UnicodeEncodeError):
        return None if scope.words.removed_from({"note": body}, anywhere=not own)["note"] == body else {}
    erased = document
    if own and isinstance(document, dict):
        erased = erasure.erased_plan(document, scope.numbers) if "wires" in document else document
        erased = erasure.erased_record(erased) if "by" in erased else erased
    erased = scope.words.removed_from(erased, anywhere=not own)
    return None if erased == document else {"body": _pack(erased)}


def _packed(name: str, before: Json, after: Json) -> Values | None:
    return None if after == before else {name: _pack(after)}


def _read(packed: bytes) -> Any:
    return json.read(unpack(packed))


def _pack(value: Mapping[str, Any] | Any) -> bytes:
    return pack(json.write(value))


def _readable(value: Any) -> Any:
    if not isinstance(value, bytes):
        return value
    text = value if value.startswith(b"{") else unpack(value)  # a quote's standing is not compressed
    try:
        return json.read(text)
    except json.NotJson:
        return text.decode(errors="replace")


PLACES = (
    Place(quotes, _standing, quotes.c.standing.is_not(None), (quotes.c.id, quotes.c.number, quotes.c.standing)),
    Place(events, _event, or_(events.c.by.is_not(None), events.c.note.is_not(None))),
    Place(as_built, _record),
    Place(cutting_plans, _plan),  # before the tables that refer to plans by id
    Place(movements, _movement),
    Place(shelf, _shelf),
    Place(editions, _accepted, editions.c.accepted.is_not(None), (*editions.primary_key, editions.c.accepted)),
    Place(editions_in_force, _put, or_(editions_in_force.c.by.is_not(None), editions_in_force.c.words.is_not(None))),
    Place(batch_lines, _line, or_(batch_lines.c.name.is_not(None), batch_lines.c.outcome == FAILED, batch_lines.c.outcome.is_(None))),
    Place(batches, _batch, batches.c.summary.is_not(None)),
    Place(answers, _answer, answers.c.body.is_not(None)),
    Place(staff, _colleague, staff.c.ended_at.is_not(None)),
)

"""Personal data outside quotes: what others' quotes say of their settling, history, records, plans, stock movements, tables put in force, batch lines, summaries, responses stored for replay, former people of the shop.

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
from service.lifecycle import people
from service.lifecycle.personal_words import Words
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
    """Whose traces to find: the quotes by id and number, the person's words, `who` as given; or `before`, a day (ISO): everything
    older. `plans` collects the ids of plans of these quotes as they are found.
    """

    ids: frozenset[str]
    numbers: frozenset[str]
    words: Words
    who: str | None = None
    before: str = ""
    plans: set[str] = field(default_factory=set)

    def old(self, moment: str) -> bool:
        """Whether something from that time is older than the retention period."""
        return moment[:10] < self.before


class Place(NamedTuple):
    """A table with text written by people. `change` returns a row's new values, {} if it is to be deleted, None if it holds nothing of
    this person. `columns`: those that are read, if not all.
    """

    table: Table
    change: Callable[[Connection, Any, ErasureScope], Values | None]
    where: ColumnElement[bool] | None = None
    columns: tuple[Column[Any], ...] = ()

    def rows(self) -> Select[Any]:
        """The statement that reads them."""
        return select(*(self.columns or self.table.columns))


class Trace(NamedTuple):
    """A row that holds something of the person."""

    place: Place
    key: tuple[Any, ...]
    row: Any

    def as_json(self) -> Json:
        """For an export: the table's name and the row, with packed values unpacked."""
        return {
            "table": self.place.table.name,
            **{str(name): _readable(value) for name, value in self.row._asdict().items() if value is not None},
        }


def found(database: Database, scope: ErasureScope) -> list[Trace]:
    """Every row outside quotes that holds something of the person, table by table."""
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
    """Take the claim from the worker that has read the line before the change, so that no quote is made from it."""
    these = (
        batch_chunks.c.batch_id == line.batch_id,
        batch_chunks.c.first <= line.place,
        batch_chunks.c.first + batch_chunks.c.count > line.place,
        batch_chunks.c.state == "working",
    )
    connection.execute(update(batch_chunks).where(*these).values(**UNHELD, attempts=batch_chunks.c.attempts - 1))


def _standing(_: Connection, row: Any, scope: ErasureScope) -> Values | None:
    """What was said of somebody else's quote; the person's own are erased whole (service/storage/people.py)."""
    if row.id in scope.ids:
        return None
    standing = json.read(row.standing)
    gone = people.unnamed_standing(standing, scope.words)
    return None if gone is standing else {"standing": json.write(gone)}


def _event(_: Connection, row: Any, scope: ErasureScope) -> Values | None:
    said = {"by": row.by, "note": row.note}
    gone = dict.fromkeys(said) if row.quote_id in scope.ids else scope.words.gone(said, anywhere=True)
    return None if gone == said else gone


def _record(_: Connection, row: Any, scope: ErasureScope) -> Values | None:
    record = _read(row.document)
    own = row.quote_id in scope.ids
    return _packed("document", record, scope.words.gone(people.erased_record(record) if own else record, anywhere=not own))


def _plan(_: Connection, row: Any, scope: ErasureScope) -> Values | None:
    plan = gone = _read(row.document)
    if scope.ids & {row.quote_id, row.of_quote}:
        gone = people.erased_plan(plan)
    elif people.names_any(plan, scope.numbers):
        gone = people.erased_plan(plan, scope.numbers)
    own = gone is not plan
    if own:
        scope.plans.add(row.id)
    elif row.quote_id is None and not plan.get("quotes") and scope.old(row.created_at):
        gone = people.erased_lengths(plan)
    gone = scope.words.gone(gone, anywhere=not own)
    return None if gone == plan else {"document": _pack(gone), "summary": summary_of(gone)}


def _movement(_: Connection, row: Any, scope: ErasureScope) -> Values | None:
    record = _read(row.document)
    own = row.plan_id in scope.plans
    gone = people.erased_record(record) if own or scope.old(row.occurred_at) else record
    return _packed("document", record, scope.words.gone(gone, anywhere=not own))


def _shelf(_: Connection, row: Any, scope: ErasureScope) -> Values | None:
    """Where a piece of wire came from. Its id is on its label and stays."""
    said = {"source": row.source}
    gone = scope.words.gone(said, anywhere=True)
    return None if gone is said else gone


def _accepted(_: Connection, row: Any, scope: ErasureScope) -> Values | None:
    """Who accepted what about a table, and why."""
    said = {"note": row.accepted}
    gone = scope.words.gone(said, anywhere=True)
    return None if gone is said else {"accepted": gone["note"]}


def _put(_: Connection, row: Any, scope: ErasureScope) -> Values | None:
    said = {"by": row.by, "note": row.words}
    gone = scope.words.gone(said, anywhere=True)
    return None if gone is said else {"by": gone["by"], "words": gone["note"]}


def _colleague(_: Connection, row: Any, scope: ErasureScope) -> Values | None:
    """One of the shop's people, once their access has ended: until then the name is needed, and it is the shop's own."""
    if row.ended_at is None or not row.name:
        return None
    said = {"by": row.name}
    return {"name": ""} if scope.words.gone(said, anywhere=True) is not said or scope.old(row.ended_at) else None


def _line(connection: Connection, row: Any, scope: ErasureScope) -> Values | None:
    old = bool(scope.before) and scope.old(_batch_made(connection, row.batch_id))
    if row.outcome is None and not (old and row.request is None):
        return _waiting(row, scope)
    if row.quote_id in scope.ids or (old and row.outcome != FAILED):
        return None if row.name is None else {"name": None}
    if row.outcome != FAILED:
        return _named(row.name, scope)
    problem = _read(row.said)
    said = {"custom_id": row.name, "problem": people.decoded_problem(problem)}
    if not old and scope.words.gone(said, anywhere=True) is said:
        return None
    erased = people.erased_problem(problem)
    return None if row.name is None and erased == problem else {"name": None, "said": _pack(erased)}


def _waiting(row: Any, scope: ErasureScope) -> Values | None:
    """A line still to be quoted: it will be, without the person."""
    if row.subject in scope.ids:
        return {"name": None}
    request = _read(row.request) if row.request else {}
    customer = request.get("customer") if isinstance(request, dict) else None
    if scope.who is None or not isinstance(customer, dict) or not people.is_of(customer, scope.who):
        return _named(row.name, scope)
    words = people.words_of([({"customer": {}, "boat": {}}, request)], scope.who)
    return {"name": None, "request": _pack(people.erased_request(request, words))}


def _named(name: str | None, scope: ErasureScope) -> Values | None:
    said = {"custom_id": name}
    return None if scope.words.gone(said, anywhere=True) is said else {"name": None}


def _batch_made(connection: Connection, batch_id: str) -> str:
    return str(connection.execute(select(batches.c.created_at).where(batches.c.id == batch_id)).scalar_one())


def _batch(_: Connection, row: Any, scope: ErasureScope) -> Values | None:
    summary = _read(row.summary)
    gone = people.erased_summary(summary, None if scope.before and scope.old(row.created_at) else scope.ids)
    return _packed("summary", summary, scope.words.gone(gone, anywhere=gone is summary))


def _answer(connection: Connection, row: Any, scope: ErasureScope) -> Values | None:
    """A response with a quote is replaced by the quote's current state, any other (such as one that tells what is settled of it or asked about it) is
    stripped of the person; one that cannot be read this way, or whose key names the person, is deleted.
    """
    named = {"note": row.key}
    if scope.words.gone(named, anywhere=True) is not named:
        return {}
    body = unpack(row.body).decode(errors="replace")
    quote = next((each for each in scope.ids if body.startswith(f'{{"id":"{each}"')), None)
    if quote is not None and (now := one(connection, quote)) is not None:
        said, language = _read(row.body), now.said().get("language", "en")
        if "open" in said:
            return {"body": _pack(people.erased_settlements(said, language, scope.words))}
        return {"body": _pack(people.erased_questions(said)) if "questions_left" in said else pack(now.body())}
    own = any(each in body or each in row.headers for each in (*scope.ids, *scope.plans))
    try:
        document = json.read(body.encode())
    except (json.NotJson, UnicodeEncodeError):
        return None if scope.words.gone({"note": body}, anywhere=not own)["note"] == body else {}
    gone = document
    if own and isinstance(document, dict):
        gone = people.erased_plan(document, scope.numbers) if "wires" in document else document
        gone = people.erased_record(gone) if "by" in gone else gone
    gone = scope.words.gone(gone, anywhere=not own)
    return None if gone == document else {"body": _pack(gone)}


def _packed(name: str, before: Json, after: Json) -> Values | None:
    return None if after == before else {name: _pack(after)}


def _read(packed: bytes) -> Any:
    return json.read(unpack(packed))


def _pack(value: Mapping[str, Any] | Any) -> bytes:
    return pack(json.write(value))


def _readable(value: Any) -> Any:
    if not isinstance(value, bytes):
        return value
    text = value if value.startswith(b"{") else unpack(value)  # what stands of a quote is not packed
    try:
        return json.read(text)
    except json.NotJson:
        return text.decode(errors="replace")


PLACES = (
    Place(quotes, _standing, quotes.c.standing.is_not(None), (quotes.c.id, quotes.c.number, quotes.c.standing)),
    Place(events, _event, or_(events.c.by.is_not(None), events.c.note.is_not(None))),
    Place(as_built, _record),
    Place(cutting_plans, _plan),  # before those that identify a plan by its id
    Place(movements, _movement),
    Place(shelf, _shelf),
    Place(editions, _accepted, editions.c.accepted.is_not(None), (*editions.primary_key, editions.c.accepted)),
    Place(editions_in_force, _put, or_(editions_in_force.c.by.is_not(None), editions_in_force.c.words.is_not(None))),
    Place(batch_lines, _line, or_(batch_lines.c.name.is_not(None), batch_lines.c.outcome == FAILED, batch_lines.c.outcome.is_(None))),
    Place(batches, _batch, batches.c.summary.is_not(None)),
    Place(answers, _answer, answers.c.body.is_not(None)),
    Place(staff, _colleague, staff.c.ended_at.is_not(None)),
)

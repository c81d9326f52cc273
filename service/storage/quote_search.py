"""Searches for quotes: returns one page of the quotes that pass all filters, at a bounded cost.

The most selective filter drives the search. If its list of entries is short, the whole list is read; if it is long, it is read from the
newest entry, as far as the page needs. Each candidate is then checked against all filters. A page ends once it has examined
MOST_LOOKED_AT entries, however few it found, and the next page continues from there. The database is only asked for ranges of an index and
for rows by key, so neither SQLite nor PostgreSQL has a query plan to choose.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass, fields
from datetime import date
from itertools import groupby
from typing import Any, NamedTuple

from sqlalchemy import ColumnElement, Connection, literal, literal_column, select, text, tuple_

from service.storage.database import Database
from service.storage.entries import BEYOND
from service.storage.quote_filters import QuoteFilters, Sort, Spans, Waiting, conditions_of, days_of, places_of, spans_of
from service.storage.records import Summary
from service.storage.tables import quote_entries as entries
from service.storage.tables import quotes
from service.storage.term_lists import ALL, COUNT_DAYS, TERMS, THESE, counting, gathering, named, walking

SHORT = 5000  # entries; a list up to this length is read completely
MOST_LISTS = 64  # lists merged in one statement
MOST_LOOKED_AT = 1400  # entries examined for one page
_AT_ONCE = 1024


@dataclass(frozen=True, slots=True)
class FoundQuote(Summary):
    """A quote's entry in the results, with the names as sent, and the number of its assemblies in each state of readiness."""

    customer: str | None
    boat: str | None
    reference: str | None
    ready_to_cut: int
    confirm: int
    hold: int

    def as_json(self) -> dict[str, Any]:
        """The entry as the API returns it."""
        entry = asdict(self)
        readiness = {state: entry.pop(state) for state in ("ready_to_cut", "confirm", "hold")}
        return {**entry, "readiness": readiness}


class Position(NamedTuple):
    """Where a page ended: the last entry's sort value (0 for newest first, a day's ordinal, or thousandths of the amount) and its place."""

    value: int
    place: int


class Page(NamedTuple):
    """Quotes in order, and the position from which the next page continues; None on the last page."""

    quotes: list[FoundQuote]
    following: Position | None


class QuoteSearch:
    """Searches one database; `today` is the shop's date."""

    def __init__(self, database: Database, today: date) -> None:
        self._database, self._today = database, today

    def page(self, filters: QuoteFilters, limit: int, after: Position | None = None) -> Page:
        """Up to `limit` quotes after a position. A page may be shorter even if another one follows."""
        with self._database.reading() as connection:
            if connection.dialect.name == "postgresql":  # make it read index ranges, whatever its statistics say
                connection.execute(_NO_SCANS)
            search = _Search(connection, filters, self._today)
            found, following = search.page(limit, after)
            rows = _rows(connection, [each.place for each in found])
        return Page([rows[each.place].on(self._today) for each in found], following)

    def waiting(self, kind: Waiting) -> int:
        """The total number of quotes that wait for this. Each entry is in these lists at most once, so counting list rows is enough."""
        (spans,) = spans_of(QuoteFilters(waiting=kind), self._today)
        with self._database.reading() as connection:
            return int(connection.execute(counting(len(spans)), {**named(spans), "most": BEYOND}).scalar_one())


_NO_SCANS = text("SELECT " + ", ".join(f"set_config('enable_{each}', 'off', true)" for each in ("seqscan", "bitmapscan", "sort")))


Stretch = tuple[list[Position], Position | None]


class _Search:
    """One search. A stretch is a list of candidate positions in order, together with the position up to which entries were examined."""

    def __init__(self, connection: Connection, filters: QuoteFilters, today: date) -> None:
        self._connection, self._filters, self._today = connection, filters, today
        self._conditions = conditions_of(filters, today)
        self._least, self._past = places_of(filters)
        self._order = _ORDERS[filters.sort]

    def page(self, limit: int, after: Position | None) -> tuple[list[Position], Position | None]:
        """Up to `limit` positions after the given one, and the position from which the next page continues."""
        found: list[Position] = []
        looked_at = 0
        for candidates, end in self._stretches(self._first(limit), after):
            found += self._kept(candidates, after)
            if len(found) > limit:
                return found[:limit], found[limit - 1]
            looked_at += len(candidates)
            if looked_at >= MOST_LOOKED_AT and end is not None:
                return found, end
        return found, None

    def _first(self, limit: int) -> int:
        """How many candidates to read first: with several filters, only a few entries of one list pass all of them."""
        return limit + 1 if len(self._conditions) < 2 else min(4 * (limit + 1), _AT_ONCE)

    def _stretches(self, many: int, after: Position | None) -> Iterator[Stretch]:
        leading = self._leading()
        if leading is not None and leading.many == 0:
            return iter(())
        if self._filters.sort is not Sort.NEWEST:
            short = leading is not None and leading.many <= SHORT
            return self._gathered_at_once(leading.spans) if leading is not None and short else self._along_the_index(many, after)
        past = self._past if after is None else min(self._past, after.place)
        if leading is None or not leading.spans:
            return self._along_all(many, past)
        terms = self._terms(leading.spans, MOST_LISTS) if leading.many > _FEW else None
        if terms is not None:
            return self._along_lists(terms, many, past)
        return self._gathered(leading.spans, many, past) if leading.many <= SHORT else self._along_all(many, past)

    def _leading(self) -> _Counted | None:
        """The shortest list that any filter gives, counted up to SHORT + 1; without spans if it is that of the days of issue. None if no
        filter has a list.
        """
        counted = []
        for spans in spans_of(self._filters, self._today):
            many = self._connection.execute(counting(len(spans)), {**named(spans), "most": SHORT + 1}).scalar_one()
            counted.append(_Counted(many, spans))
            if many <= _FEW:
                break
        shortest = min(counted, key=lambda each: each.many, default=None)
        if (self._least, self._past) != (0, BEYOND) and (shortest is None or shortest.many > _FEW):
            days = self._connection.execute(COUNT_DAYS, self._bounds()).scalar_one()
            if shortest is None or days < shortest.many:
                return _Counted(days, ())
        return shortest

    def _bounds(self) -> dict[str, Any]:
        return {"least": self._least, "past": self._past, "most": SHORT + 1}

    def _places(self, spans: Spans) -> list[int]:
        """All places in a short list; without spans, those of the requested days of issue."""
        if not spans:
            return list(self._connection.execute(ALL, self._bounds()).scalars())
        places = self._connection.execute(gathering(len(spans)), {**named(spans), "most": SHORT * len(spans)}).scalars()
        return [each for each in set(places) if self._least <= each < self._past]

    def _gathered(self, spans: Spans, many: int, past: int) -> Iterator[Stretch]:
        places = sorted((each for each in self._places(spans) if each < past), reverse=True)
        while places:
            yield [Position(0, each) for each in places[:many]], Position(0, places[:many][-1]) if len(places) > many else None
            places, many = places[many:], min(many * 4, _AT_ONCE)

    def _gathered_at_once(self, spans: Spans) -> Iterator[Stretch]:
        yield [Position(0, each) for each in self._places(spans)], None

    def _along_all(self, many: int, past: int) -> Iterator[Stretch]:
        while places := list(self._connection.execute(ALL, {"least": self._least, "past": past, "most": many}).scalars()):
            yield [Position(0, each) for each in places], Position(0, places[-1])
            if len(places) < many:
                return
            past, many = places[-1], min(many * 4, _AT_ONCE)

    def _terms(self, spans: Spans, most: int) -> list[str] | None:
        """The existing terms within the spans; None if there are more than `most`."""
        found: list[str] = []
        for each in spans:
            found += self._connection.execute(TERMS, {**each._asdict(), "most": most + 1}).scalars()
            if len(found) > most:
                return None
        return found

    def _along_lists(self, terms: list[str], many: int, past: int) -> Iterator[Stretch]:
        statement = walking(len(terms))
        terms_by_name = {f"term{place}": each for place, each in enumerate(terms)}
        while places := list(
            self._connection.execute(statement, {**terms_by_name, "least": self._least, "past": past, "most": many}).scalars()
        ):
            yield [Position(0, each) for each, _ in groupby(places)], Position(0, places[-1])
            if len(places) < many:
                return
            past, many = places[-1], min(many * 4, _AT_ONCE)

    def _along_the_index(self, many: int, after: Position | None) -> Iterator[Stretch]:
        order = self._order
        value, place = order.column, entries.c.place
        query = select(value, place).order_by(*(order.sorted(each) for each in (value, place)))
        if self._filters.sort is Sort.VALID_UNTIL:
            for sign, day in days_of(self._filters, self._today):
                query = query.where(value >= day if sign == ">=" else value <= day)
        while True:
            further = query
            if after is not None:
                here = tuple_(literal(order.stored(after.value)), literal(after.place, place.type))
                further = query.where(tuple_(value, place) > here if order.ascending else tuple_(value, place) < here)
            rows = self._connection.execute(further.limit(many)).all()
            if rows:
                after = Position(order.counted(rows[-1][0]), rows[-1][1])
                yield [Position(order.counted(each), its) for each, its in rows], after  # days of issue are checked with the other filters
            if len(rows) < many:
                return
            many = min(many * 4, _AT_ONCE)

    def _kept(self, candidates: list[Position], after: Position | None) -> list[Position]:
        """The candidates that pass all filters, in order."""
        order, found = self._order, list[Position]()
        query = select(order.column, entries.c.place).where(entries.c.place.in_(THESE), *self._conditions)
        for begin in range(0, len(candidates), _AT_ONCE):
            these = [each.place for each in candidates[begin : begin + _AT_ONCE] if self._least <= each.place < self._past]
            found += [Position(order.counted(value), place) for value, place in self._connection.execute(query, {"these": these})]
        found.sort(reverse=not order.ascending)
        if after is None:
            return found
        return [each for each in found if (each > after if order.ascending else each < after)]


class _Counted(NamedTuple):
    many: int
    spans: Spans


class _Order(NamedTuple):
    """A sort order of entries: by a column, then by place. `counted` turns the column's value into an integer, `stored` turns it back."""

    column: ColumnElement[Any]
    ascending: bool
    counted: Callable[[Any], int]
    stored: Callable[[int], Any]

    def sorted(self, column: ColumnElement[Any]) -> ColumnElement[Any]:
        return column.asc() if self.ascending else column.desc()


def _same(value: int) -> int:
    return value


_ORDERS = {
    Sort.NEWEST: _Order(literal_column("0"), False, _same, _same),
    Sort.VALID_UNTIL: _Order(
        entries.c.valid_until, True, lambda day: date.fromisoformat(day).toordinal(), lambda many: date.fromordinal(many).isoformat()
    ),
    Sort.PAYABLE: _Order(entries.c.amount, False, _same, _same),
}
_FEW = 50  # entries; a list this short drives the search without counting the others
_ROW = [quotes.c[each.name] if each.name in quotes.c else entries.c[each.name] for each in fields(FoundQuote)]
_ROWS = select(entries.c.place, *_ROW).join_from(entries, quotes, quotes.c.id == entries.c.quote_id).where(entries.c.place.in_(THESE))


def _rows(connection: Connection, places: list[int]) -> dict[int, FoundQuote]:
    return {place: FoundQuote(*row) for place, *row in connection.execute(_ROWS, {"these": places})} if places else {}

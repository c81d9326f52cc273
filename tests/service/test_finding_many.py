"""Pages of what is found among many, on both databases, against a plain look at every entry, however short the lists that count as short;
no statement reads a table from end to end, and no page looks at more than it may.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

import pytest
from sqlalchemy import Engine, event, insert

from service.lifecycle.statuses import Status
from service.storage import Quotes, quote_search
from service.storage.entries import Entry, first_place, place_of, terms_of
from service.storage.quote_filters import QuoteFilters, Sort, Waiting, Word
from service.storage.quote_search import QuoteSearch
from service.storage.tables import quote_entries, quote_terms, quotes
from tests.counts import some, some_of

TODAY = date(2026, 11, 25)
NAMES = ["asta", "astrid", "anna", "annika", "bo", "bosse", "carla", "dora"]
COUNT = some(400, 80)
Placed = tuple[int, Entry, str]


def invented(chance: random.Random) -> list[Placed]:
    """Quotes of invented people over three years, some on one day, last days from long ago to next year."""
    found = []
    for index in range(COUNT):
        day = (TODAY - timedelta(days=(COUNT - index) * 3 // 2 // 4 * 4)).isoformat()
        valid = (TODAY + timedelta(days=chance.randint(-500, 60))).isoformat()
        name, boat, key = chance.choice(NAMES), chance.choice(NAMES), chance.choice(["desk", "website", None])
        quote_id, number = f"{0x01A21202_0000 + index:012x}", f"Q-{day[:4]}-{index:06d}"
        quote_id = f"{quote_id[:8]}-{quote_id[8:]}-7{chance.getrandbits(12):03x}-8000-{index:012x}"
        pairs = [("n", each) for each in ("q", day[:4], number[7:], number[7:].lstrip("0")) if each]
        pairs += [("c", name), ("b", boat), ("m", name), ("m", "example"), ("r", str(index % 7))]
        entry = Entry(
            quote_id, number, chance.choice([*Status][:-1]).value, valid, chance.choice([-1, 5, 5, 7, 2_000_000]), name, boat, str(index % 7),
            f"{name}@example.org", key, 1, 0, 0, chance.getrandbits(1), chance.getrandbits(1), chance.getrandbits(1),
            "".join(f" {letter}:{each}" for letter, each in pairs), "".join(f" {each}" for each in chance.sample(NAMES, 2)),
        )  # fmt: skip
        found.append((place_of(day, quote_id), entry, day))
    return found


def filled(store: Quotes, placed: list[Placed]) -> None:
    same = {
        "revision": 1,
        "created_at": "",
        "currency": "EUR",
        "checksum": "",
        "catalogue_version": "",
        "price_version": "",
        "document": b"",
        "request": b"",
    }
    with store.writing() as connection:
        rows = [
            {"id": each.quote_id, "number": each.number, "status": each.status, "issued_on": day, "valid_until": each.valid_until, **same}
            for _, each, day in placed
        ]
        connection.execute(insert(quotes), rows)
        connection.execute(insert(quote_entries), [{"place": place, **each._asdict()} for place, each, _ in placed])
        connection.execute(insert(quote_terms), [{"place": place, "term": term} for place, each, _ in placed for term in terms_of(each)])


def holds(filters: QuoteFilters, entry: Entry, day: str) -> bool:
    """The same without a database: every condition, as the contract words it."""
    fields = {"": ("n", "c", "b", "m", "r")}
    pairs = [tuple(each.split(":")) for each in entry.words.split()] + [("t", each) for each in entry.tags.split()]
    for word in filters.words:
        if not any(letter in fields.get(word.field, (word.field,)) and each.startswith(word.text) for letter, each in pairs):
            return False
    valid = entry.valid_until >= TODAY.isoformat()
    status = "expired" if entry.status == "issued" and not valid else entry.status
    soon = (TODAY + timedelta(days=7)).isoformat()
    waits = {
        Waiting.OPEN_ASKS: entry.asks and status in ("issued", "accepted", "in_work"),
        Waiting.QUESTIONS: entry.questions and status in ("issued", "accepted", "in_work", "built"),
        Waiting.TO_CUT: entry.uncut and status in ("accepted", "in_work"),
        Waiting.FAILED_AS_BUILT: entry.failed and status in ("accepted", "in_work"),
        Waiting.EXPIRING: status == "issued" and entry.valid_until <= soon,
    }
    return (
        filters.number in (None, entry.number)
        and filters.email in (None, entry.email)
        and filters.key in (None, entry.key)
        and filters.status in (None, status)
        and (filters.waiting is None or bool(waits[filters.waiting]))
        and (filters.first is None or day >= filters.first.isoformat())
        and (filters.last is None or day <= filters.last.isoformat())
    )


def in_order(filters: QuoteFilters, placed: list[Placed]) -> list[str]:
    ways: dict[Sort, Any] = {
        Sort.NEWEST: lambda each: -each[0],
        Sort.VALID_UNTIL: lambda each: (each[1].valid_until, each[0]),
        Sort.PAYABLE: lambda each: (-each[1].amount, -each[0]),
    }
    return [entry.quote_id for _, entry, day in sorted(placed, key=ways[filters.sort]) if holds(filters, entry, day)]


def each_search(chance: random.Random, placed: list[Placed]) -> Iterator[QuoteFilters]:
    """By each filter alone, in each order; then by several together."""
    some_entry = placed[COUNT // 2][1]
    alone: list[dict[str, Any]] = [
        {}, {"number": some_entry.number}, {"email": some_entry.email}, {"key": "desk"}, {"key": "nobody"},
        *({"status": each} for each in Status), *({"waiting": each} for each in Waiting), {"first": TODAY - timedelta(days=90)},
        {"first": date(2025, 11, 1), "last": date(2026, 2, 1)}, {"last": date(2025, 8, 1)}, {"last": date.max},
        *({"words": (Word(text, field),)} for text in ("a", "as", "asta", "bo", "zz", "example", "2", "00") for field in ("", "c", "t")),
        {"words": (Word("asta"), Word("bo"))}, {"words": (Word("an", "c"), Word("an", "b"), Word("3", "r"))},
    ]  # fmt: skip
    for each in alone[:: some(1, 3)]:
        yield QuoteFilters(**each)
        for sort in (Sort.VALID_UNTIL, Sort.PAYABLE):
            yield QuoteFilters(**each, sort=sort)
    for _ in range(some(100, 4)):
        merged: dict[str, Any] = {}
        for each in chance.sample(alone, 2):
            merged |= each
        yield QuoteFilters(**merged, sort=chance.choice([*Sort]))


@pytest.mark.parametrize(("short", "lists", "looked_at"), some_of([(5000, 64, 1400), (20, 3, 1400), (0, 1000, 30), (20, 2, 15)], 2))
def test_pages_hold_what_a_look_at_every_entry_finds_in_its_order(
    store: Quotes, monkeypatch: pytest.MonkeyPatch, short: int, lists: int, looked_at: int
) -> None:
    for name, value in (("SHORT", short), ("MOST_LISTS", lists), ("MOST_LOOKED_AT", looked_at), ("_FEW", min(short, 50))):
        monkeypatch.setattr(quote_search, name, value)
    chance = random.Random(23)
    placed = invented(chance)
    filled(store, placed)
    found, cut_short = QuoteSearch(store, TODAY), 0
    for filters in each_search(chance, placed):
        limit, after, seen = chance.choice([1, 7, 7, 7, 100, 100, 100, 100]) if looked_at > 100 else 20, None, list[str]()
        while True:
            page = found.page(filters, limit, after)
            assert len(page.quotes) <= limit
            seen += [each.id for each in page.quotes]
            after = page.following
            if after is None:
                break
            cut_short += len(page.quotes) < limit
        assert seen == in_order(filters, placed), filters
    assert (cut_short > 0) == (looked_at < 100)  # where a page may look at little, some end early, and nothing is lost


def test_no_statement_reads_a_table_from_end_to_end(store: Quotes, monkeypatch: pytest.MonkeyPatch) -> None:
    chance = random.Random(23)
    placed = invented(chance)
    filled(store, placed)
    read: list[str] = []

    def explain(connection: Any, _: Any, statement: str, parameters: Any, *__: Any) -> None:
        if not statement.startswith(("SELECT", "WITH")) or "set_config" in statement:
            return
        sqlite = connection.dialect.name == "sqlite"
        cursor = connection.connection.driver_connection.cursor()
        cursor.execute(("EXPLAIN QUERY PLAN " if sqlite else "EXPLAIN ") + statement, parameters)
        read.extend(str(row[-1]).strip() for row in cursor.fetchall())

    for short in (5000, 0):
        monkeypatch.setattr(quote_search, "SHORT", short)
        event.listen(Engine, "before_cursor_execute", explain)
        try:
            for filters in list(each_search(chance, placed))[:: some(1, 3)]:
                QuoteSearch(store, TODAY).page(filters, 5)
        finally:
            event.remove(Engine, "before_cursor_execute", explain)
    assert any("quote_terms" in each for each in read)
    whole = [each for each in read if "Seq Scan" in each or (each.startswith("SCAN quote") and "USING" not in each)]
    assert whole == []


def test_two_quotes_of_one_moment_get_places_of_their_own() -> None:
    """A day is 2^47 places: 41 bits of milliseconds since 2000 and 6 bits of chance, from the id's 48, 4 and 12 (RFC 9562, 5.7)."""
    assert first_place("2000-01-01") == 0
    # 179 * 365 + 44 leap days + 156 is day 65535, the last whose places are below the most that a database counts
    assert first_place("2179-06-06") == 65535 << 47
    assert first_place("2179-06-07") == first_place("9999-12-31") == (1 << 63) - 1
    assert first_place("2026-11-25") == (26 * 365 + 7 + 328) << 47  # 7 leap days from 2000 to 2024; 25 November is the 329th day of 2026
    # 2026-11-25T00:00:00Z is 1795564800000 ms since 1970, 848880000000 since 2000; 0xFFF of chance is 63 in its upper six bits
    quote_id = f"{1_795_564_800_000:012x}"
    assert (
        place_of("2026-11-25", f"{quote_id[:8]}-{quote_id[8:]}-7fff-8000-000000000000")
        == first_place("2026-11-25") + 848_880_000_000 * 64 + 63
    )

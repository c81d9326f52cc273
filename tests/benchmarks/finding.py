"""What a page of found quotes costs: `python tests/benchmarks/finding.py DATABASE_URL [quotes] [rounds]`. Not a test: nothing here passes or fails.

Fills an empty database (an SQLite file that is not there, or a PostgreSQL database of its own) directly with invented quotes of ten years, so
without the engine and with documents of a few bytes, and then asks for the first page and one in the midst, by every filter alone, by several
together, and by words that few, many or nearly all quotes have. Each median stands beside that of a single row read by its key in the same
run. At the end it prints what the database says of how it reads (EXPLAIN), and whether any statement read a table from end to end.
"""

from __future__ import annotations

import random
import re
import statistics
import sys
import time
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, event, text

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
from service.lifecycle.statuses import Status  # noqa: E402
from service.storage import Quotes, migrate  # noqa: E402
from service.storage.entries import Entry, place_of, terms_of  # noqa: E402
from service.storage.quote_filters import QuoteFilters, Sort, Waiting, Word  # noqa: E402
from service.storage.quote_search import Position, QuoteSearch  # noqa: E402
from service.storage.tables import quote_entries, quote_terms, quotes  # noqa: E402

TODAY, YEARS = date(2026, 11, 25), 10
SYLLABLES = [
    "ba",
    "be",
    "bo",
    "da",
    "de",
    "do",
    "fa",
    "fe",
    "fi",
    "ga",
    "ge",
    "gi",
    "ka",
    "ke",
    "ki",
    "la",
    "le",
    "li",
    "lo",
    "ma",
    "me",
    "mi",
    "mo",
    "na",
    "ne",
    "ni",
    "no",
    "pa",
    "pe",
    "po",
    "ra",
    "re",
    "ri",
    "ro",
    "sa",
    "se",
    "si",
    "so",
    "ta",
    "te",
    "ti",
    "to",
]
TAGS = ["cap", "p", "s", "lower", "fore", "aft", "d1", "d2", "forestay", "backstay", "inner", "babystay"]
LATER = (
    [Status.HANDED_OVER] * 35
    + [Status.ISSUED] * 30
    + [Status.SUPERSEDED] * 18
    + [Status.DECLINED] * 10
    + [Status.CANCELLED] * 5
    + [Status.WITHDRAWN] * 2
)
LATELY = (
    [Status.ISSUED] * 50
    + [Status.ACCEPTED] * 20
    + [Status.IN_WORK] * 10
    + [Status.BUILT] * 10
    + [Status.DECLINED] * 5
    + [Status.SUPERSEDED] * 5
)
OTHERS = ("checksum", "catalogue_version", "price_version")


def words(chance: random.Random, count: int) -> list[str]:
    return ["".join(chance.choices(SYLLABLES, k=chance.choice((2, 2, 3, 3, 4)))) for _ in range(count)]


def common_first(chance: random.Random, of: list[str]) -> str:
    """The first of them most often: its share falls with its place (Zipf)."""
    return of[int(len(of) ** chance.random()) - 1]


def each_quote(count: int) -> Iterator[tuple[dict[str, Any], int, Entry]]:
    chance, numbers = random.Random(23), dict[int, int]()
    names, families, boats = words(chance, 300), words(chance, 20_000), words(chance, 5000)
    begin = TODAY - timedelta(days=365 * YEARS)
    for index in range(count):
        day = begin + timedelta(days=365 * YEARS * (index + 1) // count)
        numbers[day.year] = numbers.get(day.year, 0) + 1
        number = f"Q-{day.year}-{numbers[day.year]:06d}"
        quote_id = f"{1_480_000_000_000 + index * 315_000:012x}"
        quote_id = f"{quote_id[:8]}-{quote_id[8:]}-7{chance.getrandbits(12):03x}-8000-{index:012x}"
        first, family, boat = common_first(chance, names), common_first(chance, families), common_first(chance, boats)
        status = chance.choice(LATELY if TODAY - day < timedelta(days=30) else LATER)
        valid, payable = (day + timedelta(days=30)).isoformat(), chance.randint(100_000, 9_999_999)
        reference, key = f"HULL-{chance.randint(1, 999)}", chance.choice(("desk", "desk", "desk", "website", "partner"))
        pairs = [("n", each) for each in ("q", str(day.year), number[7:], number[7:].lstrip("0"))]
        pairs += [
            ("c", first),
            ("c", family),
            ("b", boat),
            ("m", first),
            ("m", family),
            ("m", "example"),
            ("m", "org"),
            ("r", "hull"),
            ("r", reference[5:]),
        ]
        row = {
            "id": quote_id, "number": number, "revision": 1, "status": status.value, "created_at": f"{day}T09:00:00.000Z", "issued_on": day.isoformat(),
            "valid_until": valid, "currency": "EUR", "payable": f"{payable // 1000}.{payable % 1000 // 10:02d}", "document": b"{}", "request": b"{}",
            "key": key, **dict.fromkeys(OTHERS, "sha256:invented"),
        }  # fmt: skip
        entry = Entry(
            quote_id, number, status.value, valid, payable // 10 * 10, f"{first} {family}", boat, reference, f"{first}.{family}@example.org", key,
            6, index % 11 == 0, 0, int(index % 11 == 0), int(index % 301 == 0), 1, "".join(f" {letter}:{each}" for letter, each in pairs),
            "".join(f" {each}" for each in chance.sample(TAGS, 6)),
        )  # fmt: skip
        yield row, place_of(row["issued_on"], quote_id), entry


def filled(store: Quotes, count: int) -> None:
    migrate(store.engine())
    engine = store.engine()
    (fill_sqlite if engine.dialect.name == "sqlite" else fill_postgresql)(store, count)


def fill_sqlite(store: Quotes, count: int) -> None:
    raw = store.engine().raw_connection().driver_connection
    for pragma in ("synchronous = OFF", "foreign_keys = OFF", "cache_size = -400000", "temp_store = FILE"):
        raw.execute(f"PRAGMA {pragma}")
    raw.execute("CREATE TEMP TABLE loose (term TEXT, place INTEGER)")
    raw.execute("BEGIN")
    for rows in chunks(each_quote(count)):
        insert_into(raw, "quotes", [row for row, _, _ in rows])
        insert_into(raw, "quote_entries", [{"place": place, **entry._asdict()} for _, place, entry in rows])
        raw.executemany("INSERT INTO loose VALUES (?, ?)", [(term, place) for _, place, entry in rows for term in terms_of(entry)])
    raw.execute("INSERT INTO quote_terms SELECT term, place FROM loose ORDER BY term, place")
    raw.execute("COMMIT")
    raw.execute("DROP TABLE loose")
    raw.close()
    store.engine().dispose()


def insert_into(raw: Any, name: str, rows: list[dict[str, Any]]) -> None:
    statement = f"INSERT INTO {name} ({', '.join(rows[0])}) VALUES ({', '.join('?' * len(rows[0]))})"  # noqa: S608  # names of ours
    raw.executemany(statement, [tuple(row.values()) for row in rows])


def fill_postgresql(store: Quotes, count: int) -> None:
    with store.engine().connect() as connection:
        raw = connection.connection.driver_connection
        with raw.cursor() as cursor:
            cursor.execute("ALTER TABLE quote_terms DROP CONSTRAINT quote_terms_pkey")
            for rows in chunks(each_quote(count)):
                copied(cursor, "quotes", [row for row, _, _ in rows])
                copied(cursor, "quote_entries", [{"place": place, **entry._asdict()} for _, place, entry in rows])
                copied(
                    cursor, "quote_terms", [{"term": term, "place": place} for _, place, entry in rows for term in sorted(terms_of(entry))]
                )
            cursor.execute("ALTER TABLE quote_terms ADD PRIMARY KEY (term, place)")
        raw.commit()
        raw.autocommit = True
        for table in ("quotes", "quote_entries", "quote_terms"):  # as the server does by itself after a while
            raw.execute(f"VACUUM ANALYZE {table}")
        raw.autocommit = False


def copied(cursor: Any, name: str, rows: list[dict[str, Any]]) -> None:
    with cursor.copy(f"COPY {name} ({', '.join(rows[0])}) FROM STDIN") as copy:
        for row in rows:
            copy.write_row([int(each) if isinstance(each, bool) else each for each in row.values()])  # a state is stored as 0 or 1


def chunks(of: Iterator[Any], size: int = 5000) -> Iterator[list[Any]]:
    found = []
    for each in of:
        found.append(each)
        if len(found) == size:
            yield found
            found = []
    if found:
        yield found


def asked(connection: Connection) -> dict[str, QuoteFilters]:
    """What is filters, by a name; the words are those that the database has."""

    def words_with(least: int, most: int, letter: str = "c") -> list[str]:
        query = "SELECT term FROM (SELECT term, count(*) AS many FROM quote_terms WHERE term >= :low AND term < :high GROUP BY term) AS x WHERE many BETWEEN :least AND :most ORDER BY term LIMIT 50"
        found = connection.execute(text(query), {"low": f"{letter}:", "high": f"{letter};", "least": least, "most": most}).scalars().all()
        return [term[2:] for term in found] or ["nothing"]

    total = connection.execute(text("SELECT count(*) FROM quote_entries")).scalar_one()
    rare, often, most = words_with(1, 3)[0], words_with(total // 400, total // 150)[-1], words_with(total // 60, total)[0]
    boat = words_with(total // 200, total, "b")[0]
    row = connection.execute(text("SELECT number, email FROM quote_entries ORDER BY place LIMIT 1 OFFSET 1000")).one()
    few_early = "zu"  # nobody has it
    alone = {
        "everything": QuoteFilters(),
        "number": QuoteFilters(number=row.number),
        **{f"status {each}": QuoteFilters(status=each) for each in Status},
        **{f"waiting {each}": QuoteFilters(waiting=each) for each in Waiting},
        "customer, rare": QuoteFilters((Word(rare, "c"),)),
        "customer, common": QuoteFilters((Word(most, "c"),)),
        "customer, two words": QuoteFilters((Word(most, "c"), Word(often, "c"))),
        "email": QuoteFilters(email=row.email),
        "boat": QuoteFilters((Word(boat, "b"),)),
        "reference": QuoteFilters((Word("hull", "r"), Word("123", "r"))),
        "tag, in half": QuoteFilters((Word("forestay", "t"),)),
        "key": QuoteFilters(key="partner"),
        "key, unknown": QuoteFilters(key="nobody"),
        "one day": QuoteFilters(first=TODAY - timedelta(days=2000), last=TODAY - timedelta(days=2000)),
        "one year": QuoteFilters(first=TODAY - timedelta(days=2000), last=TODAY - timedelta(days=1635)),
    }
    q = {
        "q rare": (rare,),
        "q common": (most,),
        "q every quote has": ("example",),
        "q every quote has, twice": ("example", "hull"),
        "q common and common": (most, boat),
        "q rare and every": (rare, "example"),
        "q one letter": ("m",),
        "q two letters": ("ta",),
        "q three letters": ("tat",),
        "q four letters": (often[:4],),
        "q number": ("q", "2020", "000123"),
        "q beginning of a number": ("q", "2020", "0001"),
        "q nothing": (few_early,),
        "q twelve words": ("e", "h", "q", "2", "o", "ex", "hu", "org", "exam", "hull", "0", most),
    }
    together = {
        "customer and status": QuoteFilters((Word(most, "c"),), status=Status.CANCELLED),
        "q, key, year, status": QuoteFilters((Word(often),), key="partner", status=Status.HANDED_OVER, first=TODAY - timedelta(days=700)),
        "two that exclude each other": QuoteFilters((Word("forestay", "t"),), status=Status.ACCEPTED, last=TODAY - timedelta(days=900)),
    }
    ordered = {
        f"by {sort}, {name}": QuoteFilters(**each, sort=sort)
        for sort in (Sort.VALID_UNTIL, Sort.PAYABLE)
        for name, each in (
            ("everything", {}), ("issued", {"status": Status.ISSUED}), ("expiring", {"waiting": Waiting.EXPIRING}), ("rare", {"words": (Word(rare),)}),
            ("common", {"words": (Word(most),)}), ("middling", {"words": (Word(often),)}),
        )
    }  # fmt: skip
    return {**alone, **{name: QuoteFilters(tuple(Word(each) for each in said)) for name, said in q.items()}, **together, **ordered}


def median_ms(run: Callable[[], object], rounds: int) -> tuple[float, float]:
    """The median, and the least: on a busy machine the truth lies between."""
    run()
    times = []
    for _ in range(rounds):
        begin = time.perf_counter()
        run()
        times.append(time.perf_counter() - begin)
    return statistics.median(times) * 1000, min(times) * 1000


def measured(store: Quotes, rounds: int) -> None:
    with store.reading() as connection:
        whole = asked(connection)
        one = connection.execute(text("SELECT id FROM quotes LIMIT 1")).scalar_one()
    base, _ = median_ms(lambda: store.get(one), rounds)
    print(f"one row by its key: {base:.2f} ms")
    search, worst = QuoteSearch(store, TODAY), ("", 0.0, 0.0)
    print(f"{'median (least), ms':40} {'first page':>19} rows {'later page':>19} rows  ratio")
    for name, filters in whole.items():
        first = search.page(filters, 20)
        after = midst(search, filters, first.following)
        later = search.page(filters, 20, after) if after else None
        cost = median_ms(lambda filters=filters: search.page(filters, 20), rounds)
        again = median_ms(lambda filters=filters, after=after: search.page(filters, 20, after), rounds) if after else (0.0, 0.0)
        worst = max(worst, (name, *max(cost, again)), key=lambda each: each[1])
        told = [f"{most:8.2f} ({least:8.2f})" for most, least in (cost, again)]
        rows = [
            f"{len(page.quotes)}{'+' * (page.following is not None and len(page.quotes) < 20)}" if page else "" for page in (first, later)
        ]
        print(f"{name:40} {told[0]} {rows[0]:4} {told[1]} {rows[1]:4} {max(cost, again)[0] / base:6.1f}")
    print(f"the dearest: {worst[0]}, {worst[1]:.2f} ms ({worst[2]:.2f})")


def midst(search: QuoteSearch, filters: QuoteFilters, following: Position | None) -> Position | None:
    for _ in range(10):
        if following is None:
            return None
        last, following = following, search.page(filters, 100, following).following
    return last


def explained(store: Quotes) -> None:
    """Every statement that a page asks, as the database says it reads."""
    told: dict[str, list[str]] = {}

    def look(connection: Any, cursor: Any, statement: str, parameters: Any, *_: Any) -> None:
        if not statement.startswith(("SELECT", "WITH")) or "set_config" in statement or connection.info.get("looking"):
            return
        connection.info["looking"] = True
        kind = "EXPLAIN QUERY PLAN " if connection.dialect.name == "sqlite" else "EXPLAIN "
        other = connection.connection.driver_connection.cursor()
        other.execute(kind + statement, parameters)
        lines = [str(row[-1]).strip() for row in other.fetchall()]
        shape = re.sub(r"(?:\d+, )+\d+", "…", re.sub(r"\b(\w+?)_?\d+\b", r"\1", " ".join(statement.split())))
        told[shape[:200] if "UNION ALL" in shape else shape] = lines
        connection.info["looking"] = False

    with store.reading() as connection:
        whole = asked(connection)
    event.listen(store.engine(), "before_cursor_execute", look)
    for filters in whole.values():
        QuoteSearch(store, TODAY).page(filters, 20)
    event.remove(store.engine(), "before_cursor_execute", look)
    scans = {
        line
        for lines in told.values()
        for line in lines
        if "Seq Scan" in line or (line.startswith("SCAN") and " quote" in f" {line[5:]}" and "USING" not in line)
    }
    for statement, lines in sorted(told.items()):
        print(f"{statement}\n    " + "\n    ".join(lines[:8]))
    print(f"{len(told)} kinds of statement; read from end to end: {sorted(scans) or 'none'}")


def main() -> None:
    url, count, rounds = sys.argv[1], int((sys.argv[2:] or ["100000"])[0]), int((sys.argv[3:] or ["15"])[0])
    store = Quotes(url, 1)
    migrate(store.engine())
    with store.reading() as connection:
        there = connection.execute(text("SELECT count(*) FROM quotes")).scalar_one()
    if not there:
        begin = time.perf_counter()
        filled(store, count)
        print(f"{count} quotes filled in {time.perf_counter() - begin:.0f} s")
    assert {"place", "term"} == set(quote_terms.c.keys())
    assert set(Entry._fields) < set(quote_entries.c.keys())
    assert "document" in quotes.c
    measured(store, rounds)
    explained(store)
    store.close()


if __name__ == "__main__":
    main()

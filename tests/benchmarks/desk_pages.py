"""What each page of the desk takes at 100,000 quotes: `python -m tests.benchmarks.desk_pages [quotes] [rounds] [--postgres URL] [--keep FILE]`. Not a test.

Fills an empty database (an SQLite file, kept with `--keep` and used again if it is there, or a PostgreSQL database of its own) with quotes in every state,
plans that were taken, records, fleets, messages and wire (`full_shop.py`), starts the service on loopback, signs in as the owner by a link, and asks for
every page, in turns, the first and a later one where pages are numbered. Beside each median and 95th percentile stand the least, the server's processor time,
and the ratio to the page for signing in, which asks the database nothing. A pure loop of 30 million additions, about 2.0 s of processor time on an ordinary
machine, is timed before and after: on a slower or busier one it is the least, and the processor time, that say whether a page is under 100 ms.
"""

from __future__ import annotations

import argparse
import http.client
import os
import re
import signal
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any, NamedTuple
from urllib.parse import quote as percent

from sqlalchemy import text

from service.credentials.people import Role
from service.storage import Quotes, Staff, migrate
from tests.benchmarks.full_shop import KEY, filled
from tests.benchmarks.http_floor import cpu_seconds, free_port

ROOT = Path(__file__).resolve().parents[2]
BOUND, AT_ONCE = 100.0, 5
REFERENCE = "sign-in (reference)"


class Page(NamedTuple):
    """An address under a name; `paper`: a document to be kept or printed, which is computed and no page."""

    name: str
    at: str
    paper: bool = False


class Taken(NamedTuple):
    """Milliseconds: median, 95th percentile, least, processor time of the server; and the answer's size in bytes and status."""

    middle: float
    slow: float
    least: float
    cpu: float
    size: int
    status: int


def yardstick() -> float:
    """Seconds of processor time of 30 million additions."""
    begun, total = time.process_time(), 0
    for each in range(30_000_000):
        total += each
    return time.process_time() - begun


class Visitor:
    """The owner's browser."""

    def __init__(self, port: int) -> None:
        self.port, self.cookie = port, ""
        self.connection = http.client.HTTPConnection("127.0.0.1", port, timeout=120)

    def ask(self, at: str, form: str = "") -> tuple[int, bytes, dict[str, str]]:
        headers = {
            "Accept": "text/html,*/*;q=0.8",
            "Cookie": self.cookie,
            "Sec-Fetch-Site": "same-origin",
            "Origin": f"http://127.0.0.1:{self.port}",
        }
        if form:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        self.connection.request("POST" if form else "GET", at, form or None, headers)
        answer = self.connection.getresponse()
        return answer.status, answer.read(), dict(answer.getheaders())

    def sign_in(self, link: str) -> None:
        status, _, headers = self.ask("/desk/sign-in", f"link={percent(link)}")
        assert status == 303, status
        self.cookie = headers["Set-Cookie"].partition(";")[0]

    def text(self, at: str) -> str:
        status, body, headers = self.ask(at)
        assert status in (200, 303), (at, status)
        return self.text(headers["Location"]) if status == 303 else body.decode()

    def later(self, at: str, steps: int = 10) -> str:
        """The address of a page some steps further on."""
        for _ in range(steps):
            found = re.search(rf'href="({re.escape(at.partition("?")[0])}\?[^"]*cursor=[^"]+)"', self.text(at))
            if found is None:
                return at
            at = found[1].replace("&amp;", "&")
        return at


class Subjects(NamedTuple):
    """What the pages are about: ids of quotes by status, of one of twelve wires that is accepted, of one that asks much, and of others; names that there are."""

    of: dict[str, str]
    many: str
    asked: str
    built: str
    plan: str
    fleet: str
    number: str
    email: str
    customer: str
    boat: str


def subjects(store: Quotes) -> Subjects:
    """Of a filled shop."""
    with store.reading() as connection:

        def one(query: str, **given: str) -> Any:
            return connection.execute(text(query), given).scalars().first()

        statuses = ("issued", "accepted", "in_work", "built", "handed_over", "superseded")
        latest = "SELECT quote_id FROM quote_entries WHERE status = :status {} ORDER BY place DESC"
        twelve = "AND ready_to_cut + confirm + hold = 12"
        named = "email LIKE '%example.org' AND customer <> '' AND boat <> '' ORDER BY place DESC LIMIT 1 OFFSET 500"
        row = connection.execute(text(f"SELECT number, email, customer, boat FROM quote_entries WHERE {named}")).one()  # noqa: S608  # words of ours
        return Subjects(
            {each: one(latest.format(""), status=each) for each in statuses}, one(latest.format(twelve), status="accepted"), one(latest.format(f"{twelve} AND asks = 1"), status="issued"),
            one("SELECT quote_id FROM as_built ORDER BY id DESC"), one("SELECT plan_id FROM movements WHERE plan_id IS NOT NULL ORDER BY id DESC LIMIT 1 OFFSET 50"),
            one("SELECT id FROM batches ORDER BY total DESC"), **row._mapping,
        )  # fmt: skip


def pages(visitor: Visitor, store: Quotes, today: date) -> Iterator[Page]:
    """Every page that a table of the desk's addresses has, with what there is."""
    about = subjects(store)
    yield Page(REFERENCE, "/desk/sign-in?link=none")
    yield Page("today", "/desk")
    yield from _finding(visitor, about)
    yield from _quotes(about)
    yield from _bench(visitor, about)
    yield from _owners(visitor, today)
    yield Page("fleets", "/desk/fleets")
    yield Page("a fleet of 500", f"/desk/fleets/{about.fleet}")
    yield Page("results of 500, as a table", f"/desk/fleets/{about.fleet}/results.csv", paper=True)


def _finding(visitor: Visitor, about: Subjects) -> Iterator[Page]:
    for name, sought in {
        "a number": about.number, "beginning of one": about.number[:9], "a last name": about.customer.split()[-1], "both names": about.customer, "a boat": about.boat,
        "one letter": "m", "two letters": "ba", "a tag": "forestay", "boat and tag": f"{about.boat} forestay", "what all have": "example", "two that all have": "example org",
        "e-mail": about.email, "nothing": "zzzzzz", "twelve words": "e o ex exam exampl example or org m ma b q",
    }.items():  # fmt: skip
        yield Page(f"find: {name}", f"/desk/find?q={percent(sought)}")
    yield Page("find", "/desk/find")
    yield Page("find, later", visitor.later("/desk/find"))
    yield Page("find: what all have, later", visitor.later("/desk/find?q=example"))
    for waiting in ("questions", "open_asks", "to_cut", "expiring", "failed_as_built"):
        yield Page(f"waiting: {waiting}", f"/desk/find?waiting={waiting}")
        yield Page(f"waiting: {waiting}, later", visitor.later(f"/desk/find?waiting={waiting}"))


def _quotes(about: Subjects) -> Iterator[Page]:
    for status, quote_id in about.of.items():
        yield Page(f"quote, {status}", f"/desk/quotes/{quote_id}")
    yield Page("quote, 12 wires, asks", f"/desk/quotes/{about.asked}")
    yield Page("quote, 12 wires, accepted", f"/desk/quotes/{about.many}")
    yield Page("lines of a quote", f"/desk/quotes/{about.of['issued']}/lines")
    yield Page("quotation, as a page", f"/desk/quotes/{about.many}/quotation.html")
    for name in ("quotation.pdf", "rig-sheet.pdf", "bench-sheet.pdf"):
        yield Page(name, f"/desk/quotes/{about.many}/{name}", paper=True)


def _bench(visitor: Visitor, about: Subjects) -> Iterator[Page]:
    tag, made = (_first(rf'/desk/bench/{each}/([^"?]+)"', visitor.text(f"/desk/bench/{each}")) for each in (about.many, about.built))
    yield Page("bench", "/desk/bench")
    yield Page("bench, later", visitor.later("/desk/bench"))
    codes = {"number": about.number, "number and tag": f"{about.number} {tag}", "tag": "CAP-P", "a word": about.boat, "nothing": "zzzzzz"}
    for name, code in codes.items():
        yield Page(f"bench: find {name}", f"/desk/bench/find?code={percent(code)}")
    yield Page("bench: a quote", f"/desk/bench/{about.many}")
    yield Page("bench: a sheet", f"/desk/bench/{about.many}/{tag}")
    yield Page("bench: its drawing", f"/desk/bench/drawings/{about.many}/{tag}")
    yield Page("bench: as built", f"/desk/bench/built/{about.built}/{made}")
    yield Page("labels.pdf", f"/desk/bench/labels/{about.many}", paper=True)
    yield Page("plans", "/desk/bench/plans")
    yield Page("plans, later", visitor.later("/desk/bench/plans"))
    yield Page("a plan", f"/desk/bench/plans/{about.plan}")
    yield Page("stock", "/desk/stock")
    yield Page("stock: count", "/desk/stock/count?id=OFF-0001")


def _owners(visitor: Visitor, today: date) -> Iterator[Page]:
    year, before = today.replace(month=1, day=1), today.year - 1
    for name, first, last in (
        ("a month", today.replace(day=1), today), ("a year", year, today), ("a year ago", date(before, 1, 1), date(before, 12, 31)),
        ("all that is asked at once", date.fromordinal(today.toordinal() - 1095), today),
    ):  # fmt: skip
        yield Page(f"figures: {name}", f"/desk/figures?from={first}&to={last}")
    edition = _first(r'/desk/tables/([^"/?]+)', visitor.text("/desk/tables"))
    yield Page("terms", "/desk/terms")
    yield Page("tables", "/desk/tables")
    yield Page("tables: an edition", f"/desk/tables/{edition}")
    yield Page("tables: an edition tried", f"/desk/tables/{edition}?from={today}")
    yield Page("tables: a file", f"/desk/tables/{edition}/files/wires.csv")
    yield Page("what to buy, as a table", "/desk/what-to-buy.csv", paper=True)
    yield Page("people", "/desk/people")


def _first(pattern: str, page: str) -> str:
    found = re.search(pattern, page)
    assert found, pattern
    return found[1]


def measured(visitor: Visitor, server: int, asked: list[Page], rounds: int) -> dict[str, Taken]:
    """Each page some times in a row, in turns."""
    taken: dict[str, list[float]] = {each.name: [] for each in asked}
    cpu, last = dict.fromkeys(taken, 0.0), dict[str, tuple[int, int]]()
    for begun in range(0, rounds, AT_ONCE):
        for each in asked:
            before = cpu_seconds(server)
            for _ in range(min(AT_ONCE, rounds - begun) if not each.paper else 1):
                start = time.perf_counter()
                status, body, _ = visitor.ask(each.at)
                taken[each.name].append((time.perf_counter() - start) * 1000)
                last[each.name] = len(body), status
            cpu[each.name] += (cpu_seconds(server) - before) * 1000
    return {
        name: Taken(statistics.median(each), sorted(each)[int(0.95 * len(each))], min(each), cpu[name] / len(each), *last[name])
        for name, each in taken.items()
    }


def told(asked: list[Page], found: dict[str, Taken]) -> None:
    reference = found[REFERENCE].middle
    print(f"{'page':34}{'median':>8}{'p95':>8}{'least':>8}{'cpu':>8}{'ratio':>7}{'bytes':>9}  status")
    for paper in (False, True):
        names = sorted((each.name for each in asked if each.paper is paper), key=lambda name: -found[name].middle)
        for name in names:
            each = found[name]
            mark = "" if paper else "  over by its least" if each.least > BOUND else "  over" if each.middle > BOUND else ""
            print(
                f"{name:34}{each.middle:8.1f}{each.slow:8.1f}{each.least:8.1f}{each.cpu:8.1f}{each.middle / reference:7.1f}{each.size:9d}  {each.status}{mark}"
            )
        if not paper:
            over = [[getattr(found[name], by) > BOUND for name in names].count(True) for by in ("middle", "least", "cpu")]
            print(
                f"{len(names)} pages; over {BOUND:.0f} ms: {over[0]} by the median, {over[1]} by the least, {over[2]} by processor time\ndocuments, which are computed:"
            )


def served(url: str, today: date, folder: str, work: Callable[[int, int], None]) -> None:
    port = free_port()
    clean = {name: value for name, value in os.environ.items() if not name.startswith("SERVICE_")} | {"PYTHONPATH": str(ROOT)}
    settings = {
        "SERVICE_PORT": str(port),
        "SERVICE_TODAY": today.isoformat(),
        "SERVICE_DEMO_KEY": KEY,
        "SERVICE_DATABASE_URL": url,
        "SERVICE_DESK": "yes",
        "SERVICE_BATCH_WORKERS": "0",
    }
    with (Path(folder) / "log").open("wb") as said:
        server = subprocess.Popen([sys.executable, "-m", "service"], cwd=folder, env=clean | settings, stdout=said, stderr=said)
        try:
            ready(port)
            work(port, server.pid)
        finally:
            server.send_signal(signal.SIGTERM)
            server.wait(timeout=60)


def ready(port: int) -> None:
    for _ in range(600):
        try:
            if Visitor(port).ask("/healthz")[0] < 500:
                return
        except OSError:
            time.sleep(0.1)
    raise SystemExit(f"nothing answers at {port}")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("quotes", nargs="?", type=int, default=100_000)
    parser.add_argument("rounds", nargs="?", type=int, default=30)
    parser.add_argument("--postgres", metavar="URL", help="an empty PostgreSQL database, or one filled before")
    parser.add_argument("--keep", metavar="FILE", help="an SQLite file to keep, or one kept before")
    parser.add_argument("--only", default="", help="pages whose name has this")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        url = asked.postgres or f"sqlite:///{Path(asked.keep or Path(folder) / 'quotes.sqlite3').resolve()}"
        store, begun = Quotes(url, 2), time.perf_counter()
        migrate(store.engine())
        if not store.count():
            filled(store, asked.quotes, datetime.now(UTC).date())
            print(f"filled in {time.perf_counter() - begun:.0f} s")
        with store.reading() as connection:
            today = date.fromisoformat(connection.execute(text("SELECT max(issued_on) FROM quotes")).scalar_one())
        print(f"{store.count()} quotes, {url.split(':')[0]}, load {os.getloadavg()[0]:.1f}, yardstick {yardstick():.2f} s (2.0 s usual)")
        owner = next((each for each in Staff(store).every() if each.role is Role.OWNER), None) or Staff(store).add(
            "Olga Ownerby", Role.OWNER
        )

        def work(port: int, server: int) -> None:
            visitor = Visitor(port)
            visitor.sign_in(Staff(store).make_link(owner.id))
            every = [each for each in pages(visitor, store, today) if asked.only in each.name or each.name == REFERENCE]
            measured(visitor, server, every, 1)  # what is done once
            told(every, measured(visitor, server, every, asked.rounds))

        served(url, today, folder, work)
        print(f"load {os.getloadavg()[0]:.1f}, yardstick {yardstick():.2f} s")
        store.close()


if __name__ == "__main__":
    main()

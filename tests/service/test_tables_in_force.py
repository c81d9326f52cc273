"""Tables seen before they count, put in force from a day on, taken back; those who put at once; prices added with all of their breaks."""

from __future__ import annotations

import json
import threading
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from pricing.catalogue import DEMO_FOLDER
from service.demo import demo_names, demo_request
from service.engine import tables
from service.engine.catalogues import Catalogues, engine_from, files_of
from service.engine.engine import Engine, engine_of
from service.engine.outcomes import effect_document, effects
from service.settings import Settings
from service.storage import Edition, Editions, Quotes
from service.storage.catalogue_editions import Attribution, PutMeanwhile, entry_status
from tests.catalogue.conftest import Loft
from tests.service.conftest import DAY, Command, made_app
from tests.service.shops import shop, small_shop

TOMORROW, WEEK = DAY + timedelta(1), DAY + timedelta(7)


@pytest.fixture
def loft(tmp_path: Path) -> Loft:
    """A small loft's tables, which are compiled in no time."""
    return small_shop(tmp_path / "loft")


def dearer(loft: Loft, price: str = "8.25") -> Loft:
    loft.cell("prices.csv", 6, "unit_price", price)
    return loft


def key_of(loft: Loft) -> Edition:
    return engine_of(loft.folder, Settings(today=DAY)).key


def test_nothing_counts_before_its_day_and_it_is_taken_back_by_putting_the_one_before(
    command: Command, quotes: Quotes, loft: Loft, capsys: Any
) -> None:
    editions = Editions(quotes)
    assert command("tables", "put", str(loft.folder), "--yes") == 0
    first, second = key_of(loft), key_of(dearer(loft))
    assert command("tables", "diff", str(loft.folder)) == 0
    assert "unit_price 7.50 -> 8.25 (+10.0 %)" in capsys.readouterr().out
    assert editions.last_change() == 1  # a look changes nothing
    put = (
        "tables",
        "put",
        str(loft.folder),
        "--from",
        WEEK.isoformat(),
        "--by",
        "Asta",
        "--words",
        "the maker's list of December",
        "--yes",
    )
    assert command(*put) == 0
    assert [editions.current(day) for day in (DAY, WEEK - timedelta(1), WEEK)] == [first, first, second]
    assert command("tables", "put", "--edition", first.id, "--from", WEEK.isoformat(), "--yes") == 0
    assert editions.current(WEEK) == first
    assert [(each.from_day, entry_status(each, editions.entries(), WEEK)) for each in editions.entries()] == [
        (WEEK.isoformat(), "in_force"),
        (WEEK.isoformat(), "replaced"),
        (DAY.isoformat(), "past"),
    ]
    capsys.readouterr()
    assert command("tables", "list") == 0
    assert "by Asta: the maker's list of December" in capsys.readouterr().out


def test_a_past_day_and_an_edition_that_there_is_not_are_refused(command: Command, loft: Loft, capsys: Any) -> None:
    assert command("tables", "put", str(loft.folder), "--from", "2026-11-24", "--yes") == 2
    assert "is in the past" in capsys.readouterr().err
    assert command("tables", "put", "--edition", "0123", "--yes") == 2
    assert "`tables list` names them" in capsys.readouterr().err
    assert command("tables", "put") == 2


def test_what_is_doubted_is_accepted_by_name_and_kept_with_who_and_when(command: Command, quotes: Quotes, loft: Loft, capsys: Any) -> None:
    """A rate of 0.19 is a tax written as a share."""
    loft.cell("tax.csv", 2, "rate", "0.19")
    put = ("tables", "put", str(loft.folder), "--yes")
    assert command(*put) == 2
    (name,) = [line.split()[1] for line in capsys.readouterr().err.splitlines() if line.lstrip().startswith("--accept")]
    assert Editions(quotes).current() is None
    assert command(*put, "--accept", "no/such/doubt") == 2
    assert command(*put, "--accept", name) == 2
    assert "--by" in capsys.readouterr().err
    assert command(*put, "--accept", name, "--by", "Asta", "--words", "so it is, here") == 0
    kept = Editions(quotes).content(key_of(loft)) or {}
    assert kept["accepted_doubts.csv"].splitlines()[1:] == [f'{name},Asta,{DAY.isoformat()},"so it is, here"']
    assert command(*put) == 0  # the folder has it, too


def test_of_two_who_put_at_once_one_wins_and_the_other_is_told(store: Quotes) -> None:
    editions, outcomes = Editions(store), list[Any]()
    editions.put_in_force(Edition("a", "a"), {}, DAY)
    seen = editions.last_change()
    for name in ("b", "c"):
        try:
            outcomes.append(editions.put_in_force(Edition(name, name), {}, DAY, Attribution(by=name), seen=seen))
        except PutMeanwhile as told:
            outcomes.append(told.put)
    won, told = outcomes
    assert won == told == editions.entries()[0]
    assert (editions.current(DAY), won.attribution.by) == (Edition("b", "b"), "b")


def test_threads_that_put_at_once_each_have_a_change_of_their_own(store: Quotes) -> None:
    def put(number: int) -> None:
        Editions(store).put_in_force(Edition(str(number), "x"), {}, DAY)

    threads = [threading.Thread(target=put, args=(number,)) for number in range(8)]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    assert sorted(each.change for each in Editions(store).entries()) == list(range(1, 9))


def test_what_is_to_come_waits_for_its_day_whatever_is_put_before(store: Quotes) -> None:
    editions = Editions(store)
    for name, day in (("now", DAY), ("coming", WEEK), ("mended", TOMORROW)):
        editions.put_in_force(Edition(name, name), {}, day)
    found = [(editions.current(day) or Edition("", "")).catalogue for day in (DAY, TOMORROW, WEEK)]
    assert found == ["now", "mended", "coming"]
    states: dict[str, str] = {each.edition.catalogue: entry_status(each, editions.entries(), TOMORROW) for each in editions.entries()}
    assert states == {"now": "past", "mended": "in_force", "coming": "coming"}


class Clock:
    """A clock that a test turns."""

    def __init__(self, moment: datetime) -> None:
        self.moment = moment

    def __call__(self) -> datetime:
        return self.moment


def test_on_its_day_a_running_service_quotes_with_it_from_the_first_request_on_and_loses_none(
    quotes: Quotes, tmp_path: Path, demo: dict[str, Any]
) -> None:
    """The shop's day begins at midnight in New York, which is 05:00 in UTC in winter."""
    clock = Clock(datetime(2026, 11, 26, 4, 59, 50, tzinfo=UTC))
    settings = Settings(now=clock)
    folder = shop(tmp_path / "shop")
    files = files_of(folder)
    engine = engine_from(files, settings)
    assert engine.today() == date(2026, 11, 25)
    after = {**files, "prices.csv": files["prices.csv"].replace(",32.19,", ",42.19,")}
    dear = engine_from(after, settings)
    editions = Editions(quotes)
    editions.put_in_force(engine.key, files, date(2026, 11, 25))
    editions.put_in_force(dear.key, after, date(2026, 11, 26))
    app = made_app(engine, quotes, today=None, now=clock)
    app.extensions["catalogues"] = Catalogues(settings, editions, engine)
    demo["assemblies"] = demo["assemblies"][:1]
    stop, answers = threading.Event(), list[tuple[int, str, str]]()

    def ask() -> None:
        client = app.test_client()
        while not stop.is_set():
            answer = client.post("/v1/quotes", json=demo)
            answers.append((answer.status_code, answer.json["issued_on"], answer.json["provenance"]["price_table"]))

    asking = [threading.Thread(target=ask) for _ in range(3)]
    for each in asking:
        each.start()
    turned = False
    while not (turned and sum(day == "2026-11-26" for _, day, _ in answers) >= 9):
        if not turned and len(answers) >= 9:
            clock.moment, turned = datetime(2026, 11, 26, 5, 0, 0, tzinfo=UTC), True
        stop.wait(0.01)
    stop.set()
    for each in asking:
        each.join()
    assert {status for status, _, _ in answers} == {201}
    assert {(day, prices) for _, day, prices in answers} == {("2026-11-25", engine.key.prices), ("2026-11-26", dear.key.prices)}


def test_a_start_leaves_in_force_what_a_person_put_there(command: Command, quotes: Quotes, engine: Engine, loft: Loft, capsys: Any) -> None:
    from service.cli.serve import prepare

    settings, editions = Settings(database_url=quotes._url, today=DAY), Editions(quotes)
    prepare(settings, engine)
    assert (editions.current(), editions.entries()[0].attribution.means) == (engine.key, "start")
    assert command("tables", "put", str(loft.folder), "--yes") == 0
    prepare(Settings(database_url=quotes._url, today=DAY, catalogue=tmp_shop(loft)), engine)
    assert editions.current() == key_of(loft)
    assert "does not count" in capsys.readouterr().err


def tmp_shop(loft: Loft) -> Path:
    return shop(loft.folder.parent / "shop")


def test_a_price_and_a_reach_do_to_a_boat_what_is_reckoned_by_hand(engine: Engine) -> None:
    """A fork at 33.00 in place of 30.00 is 3.00 more, with 7 % tax 3.21; a reach of 2 mm more leaves 2 mm less of wire."""
    measured = {"readings": ["9487.5 mm", "9488.1 mm"], "support": "flat", "rig_setting": "everyday", "temperature": "18 degC"}
    stay = {
        "tag": "STAY",
        "role": "forestay",
        "wire": {"construction": "1x19", "material": "316", "diameter": "3/16 in"},
        "upper": {"terminal": "fork", "attachment": "swage", "pin": "3/8 in"},
        "lower": {"terminal": "eye", "attachment": "swage", "pin": "3/8 in"},
        "measurement": measured,
    }
    body = json.dumps({"price_list": "retail", "delivery": "collect", "assemblies": [stay]}).encode()
    files = files_of(DEMO_FOLDER)

    def at(price: str) -> dict[str, str]:
        return {
            **files,
            "prices.csv": files["prices.csv"].replace(
                "FORK-SW-3-16IN,each,2026-07-01,1,32.19", f"FORK-SW-3-16IN,each,2026-07-01,1,{price}"
            ),
        }

    tried = tables.tried(engine_from(at("30.00"), Settings(today=DAY)), at("33.00"), [body], DAY, 60)
    made = effect_document(effects(["boat"], tried.before, tried.after)[0])
    assert (made["change"], made["lengths"], made["readiness"], made["articles"]) == ("3.21", [], [], [])
    assert Decimal(made["after"]) - Decimal(made["before"]) == Decimal("3.21")
    fork = 'FORK-SW-3-16IN,"Fork, swage, for 3/16 in wire, 3/8 in pin",fork,swage,1x19;compacted_1x19;7x7;7x19,3/16 in,'
    assert f"{fork}2 29/32 in," in files["terminals.csv"]  # 73.81875 mm
    longer = {**files, "terminals.csv": files["terminals.csv"].replace(f"{fork}2 29/32 in,", f"{fork}75.81875 mm,")}
    tried = tables.tried(engine, longer, [body], DAY, 60)
    made = effect_document(effects(["boat"], tried.before, tried.after)[0])
    assert [(each["tag"], each["change_mm"]) for each in made["lengths"]] == [("STAY", "-2.0")]


def test_the_time_of_a_trial_is_kept_and_what_it_did_not_reach_is_left_out(engine: Engine) -> None:
    from service.engine.outcomes import outcomes

    ticks = iter(range(100))
    found = outcomes(engine, [b"no json"] * 10, DAY, 3, lambda: next(ticks))
    assert len(found) == 3  # a tick for the start, one before each
    assert found[0].refused is not None


def test_a_quote_is_quoted_again_with_what_a_person_put_in_force(
    command: Command, quotes: Quotes, engine: Engine, loft: Loft, demo: dict[str, Any], capsys: Any
) -> None:
    """The loft's tables know none of the boat's wires, so that nothing can be built from them."""
    demo["assemblies"] = demo["assemblies"][:1]
    number = made_app(engine, quotes).test_client().post("/v1/quotes", json={**demo, "price_list": "retail"}).json["number"]
    assert command("tables", "put", str(loft.folder), "--yes") == 0
    said = capsys.readouterr().out
    assert "1 of 1 quotes would come out otherwise" not in said  # nothing was in force to compare with
    assert command("quotes", "requote", number, "--yes") == 0
    assert "EUR" in capsys.readouterr().out


HEADER = "sku,unit,from_quantity,unit_price,source\n"


@pytest.fixture
def priced(command: Command, loft: Loft, monkeypatch: pytest.MonkeyPatch) -> Any:
    """Load prices into the loft's folder."""
    assert command("tables", "put", str(loft.folder), "--yes") == 0
    monkeypatch.setenv("SERVICE_CATALOGUE", str(loft.folder))

    def load(content: str | bytes, *more: str) -> int:
        file = loft.folder.parent / "list.csv"
        file.write_bytes(content if isinstance(content, bytes) else content.encode())
        return command("prices", "load", str(file), "--from", WEEK.isoformat(), *more)

    return load


def test_a_file_with_a_part_of_the_breaks_says_so_and_is_refused(priced: Any, quotes: Quotes, loft: Loft, capsys: Any) -> None:
    """W-4 is 3.40 from 0 m and 3.20 from 50 m on."""
    before, change = loft.path("prices.csv").read_bytes(), Editions(quotes).last_change()
    assert priced(f"{HEADER}W-4,m,0,3.60,list\n", "--yes") == 2
    assert "W-4: the file lacks quantity breaks that count until then: from 50 at 3.20" in capsys.readouterr().err
    assert (loft.path("prices.csv").read_bytes(), Editions(quotes).last_change()) == (before, change)
    assert priced(f"{HEADER}W-4,m,0,3.60,list\nW-4,m,50,3.50,list\n", "--yes") == 0
    assert loft.table("prices.csv")[-2:] == [
        ["W-4", "m", WEEK.isoformat(), "0", "3.60", "list"],
        ["W-4", "m", WEEK.isoformat(), "50", "3.50", "list"],
    ]


def test_breaks_that_are_to_end_are_said_to(priced: Any, loft: Loft) -> None:
    assert priced(f"{HEADER}W-4,m,0,3.60,list\n", "--yes", "--fewer-breaks") == 0
    assert loft.table("prices.csv")[-1][:5] == ["W-4", "m", WEEK.isoformat(), "0", "3.60"]


def test_nothing_is_written_without_a_yes(priced: Any, quotes: Quotes, loft: Loft, capsys: Any) -> None:
    before = loft.path("prices.csv").read_bytes()
    assert priced(f"{HEADER}T-FORK,each,1,8.25,list\n") == 2
    said = capsys.readouterr()
    assert "+ T-FORK" in said.out
    assert "Add --yes" in said.err
    assert (loft.path("prices.csv").read_bytes(), Editions(quotes).last_change()) == (before, 1)


def test_boats_are_the_shops_own_where_it_names_some(command: Command, loft: Loft, tmp_path: Path, capsys: Any) -> None:
    assert command("tables", "put", str(loft.folder), "--yes") == 0
    dearer(loft)
    own = tmp_path / "own.ndjson"
    own.write_bytes(json.dumps(json.loads(demo_request(demo_names()[0]))).encode() + b"\n\n{}\n")
    capsys.readouterr()
    assert command("tables", "diff", str(loft.folder), "--boats", str(own)) == 0
    assert "of 2 boats would come out otherwise" in capsys.readouterr().out
    own.write_bytes(b"{}\n{\n")
    assert command("tables", "diff", str(loft.folder), "--boats", str(own)) == 2
    assert "line 2 is not JSON" in capsys.readouterr().err

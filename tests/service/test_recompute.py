"""Old quotes recomputed from the tables they were made with, whatever the shop's prices are by then."""

from __future__ import annotations

import gzip
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import text

from service.engine.catalogues import Catalogues, NotKept, files_of
from service.engine.engine import Engine, engine_of
from service.quotes.recompute import differences, recomputed
from service.settings import Settings
from service.storage import Edition, Editions, Quotes
from service.storage.stored_quotes import kept_quotes
from tests.counts import some
from tests.service.conftest import DAY, Command, made_app
from tests.service.shops import dearer, many_requests, shop

COUNT = some(100, 24)


def issue(store: Quotes, engine: Engine, count: int) -> list[dict[str, Any]]:
    client = made_app(engine, store).test_client()
    answers = [client.post("/v1/quotes", json=asked) for asked in many_requests(count)]
    assert {answer.status_code for answer in answers} == {201}
    return [answer.json for answer in answers]


def test_a_hundred_old_quotes_come_out_to_the_cent_after_the_prices_changed(store: Quotes, engine: Engine, tmp_path: Path) -> None:
    editions, settings = Editions(store), Settings(today=DAY)
    editions.put_in_force(engine.key, files_of(shop(tmp_path / "then")))
    made = issue(store, engine, COUNT)
    changed = engine_of(dearer(tmp_path / "now"), settings)
    editions.put_in_force(changed.key, files_of(tmp_path / "now"))
    catalogues = Catalogues(settings, editions, changed)
    kept = list(kept_quotes(store))
    assert [each.number for each in kept] == [each["number"] for each in made]
    assert len({each["totals"]["payable"] for each in made}) > COUNT // 2
    for each, said in zip(kept, made, strict=True):
        again = recomputed(each, catalogues)
        assert again["totals"] == said["totals"], each.number
        assert list(differences(each.document, again)) == []
    dear = issue(store, catalogues.current(), 4)
    assert [each["totals"]["payable"] for each in dear] != [each["totals"]["payable"] for each in made[:4]]


def test_tables_that_were_never_kept_are_named_and_nothing_is_guessed(store: Quotes, engine: Engine, tmp_path: Path) -> None:
    issue(store, engine, 1)
    changed = engine_of(dearer(tmp_path / "now"), Settings(today=DAY))
    with pytest.raises(NotKept, match=engine.key.prices):
        recomputed(next(kept_quotes(store)), Catalogues(Settings(today=DAY), Editions(store), changed))


@pytest.mark.parametrize(
    "bytes_",
    [b"", b"no gzip at all", gzip.compress(b"no JSON", mtime=0), gzip.compress(b"{}" * 500, mtime=0)[:30]],
    ids=["empty", "no gzip", "no JSON", "cut short"],
)
def test_an_edition_that_is_damaged_in_the_database_is_named_and_nothing_ends_by_it(
    store: Quotes, engine: Engine, tmp_path: Path, bytes_: bytes
) -> None:
    changed = engine_of(dearer(tmp_path / "now"), Settings(today=DAY))
    Editions(store).keep(engine.key, files_of(shop(tmp_path / "shop")))
    with store.writing() as connection:
        connection.execute(text("UPDATE editions SET content = :content"), {"content": bytes_})
    issue(store, engine, 1)
    with pytest.raises(NotKept, match="damaged in this database: restore a backup"):
        recomputed(next(kept_quotes(store)), Catalogues(Settings(today=DAY), Editions(store), changed))


def test_an_edition_is_kept_once_and_read_as_it_was(store: Quotes, tmp_path: Path) -> None:
    files, key = files_of(shop(tmp_path / "shop")), Edition("a", "b")
    for _ in range(2):
        Editions(store).put_in_force(key, files)
    assert (Editions(store).current(), Editions(store).content(key)) == (key, files)
    with store.engine().connect() as connection:
        assert connection.execute(text("SELECT count(*) FROM editions")).scalar_one() == 1
        assert connection.execute(text("SELECT length(content) FROM editions")).scalar_one() < sum(map(len, files.values())) / 5
    assert Editions(store).content(Edition("a", "c")) is None


def test_differences_are_named_by_their_place() -> None:
    stored = {"totals": {"payable": "1.00"}, "lines": [{"net": "1.00"}, {"net": "2.00"}], "left_out": ["A"], "supersedes": "x"}
    again = {"totals": {"payable": "1.01"}, "lines": [{"net": "1.00"}, {"net": "2.00", "tax": "0"}], "left_out": []}
    assert list(differences(stored, again)) == [
        "/totals/payable: was '1.00', comes out '1.01'",
        "/lines/1/tax: was None, comes out '0'",
        "/left_out: was ['A'], comes out []",
    ]


def test_a_length_that_is_written_otherwise_is_no_difference_and_its_number_is_one() -> None:
    """Feet once stood without inches: 12 ft 7/32 in, now 12 ft 0 7/32 in."""
    stored = {"assemblies": [{"findings": [], "cut_length": {"mm": "3663.2", "text": "12 ft 7/32 in"}}]}
    again = {"assemblies": [{"findings": [], "cut_length": {"mm": "3663.2", "text": "12 ft 0 7/32 in"}}]}
    assert list(differences(stored, again)) == []
    again["assemblies"][0]["cut_length"]["mm"] = "3663.3"
    assert list(differences(stored, again)) == ["/assemblies/0/cut_length/mm: was '3663.2', comes out '3663.3'"]
    assert list(differences({"values": {"text": "a"}}, {"values": {"text": "b"}})) == ["/values/text: was 'a', comes out 'b'"]


def test_a_member_that_was_named_otherwise_is_no_difference_and_its_number_is_one() -> None:
    now: dict[str, Any] = {"assemblies": [{"wire": {"sku": "W", "break_kN": "20.91"}, "findings": []}, {"wire": None, "findings": []}]}
    then: dict[str, Any] = {"assemblies": [{"wire": {"sku": "W", "break_kn": "20.91"}, "findings": []}, {"wire": None, "findings": []}]}
    now["lines"] = [{"rule": "remnant", "name": "Remnant, W", "net": "1.00"}, {"rule": "articles", "name": "Rest, a shop's own article"}]
    then["lines"] = [{"rule": "rest", "name": "Rest, W", "net": "1.00"}, {"rule": "articles", "name": "Rest, a shop's own article"}]
    assert list(differences(then, now)) == []
    then["assemblies"][0]["wire"]["break_kn"] = "20.19"
    assert list(differences(then, now)) == ["/assemblies/0/wire/break_kN: was '20.19', comes out '20.91'"]


def test_the_command_says_how_many_come_out_the_same_and_what_does_not(
    command: Command, quotes: Quotes, engine: Engine, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    Editions(quotes).put_in_force(engine.key, files_of(shop(tmp_path / "then")))
    issue(quotes, engine, 3)
    assert command("recompute", SERVICE_CATALOGUE=str(dearer(tmp_path / "now"))) == 0
    assert capsys.readouterr().out == "3 recomputed, 3 the same, 0 different.\n"
    with quotes.engine().begin() as connection:  # as if the engine's numbers came out otherwise
        connection.execute(text("UPDATE quotes SET document = (SELECT document FROM quotes ORDER BY id LIMIT 1)"))
    assert command("recompute", "Q-2026-000002") == 1
    said = capsys.readouterr().out
    assert "Q-2026-000002 revision 1:" in said
    assert "/totals/payable: was" in said
    assert command("recompute", "Q-2026-000099") == 2
    assert "no quote Q-2026-000099" in capsys.readouterr().err


def test_a_quote_of_another_engine_opens_as_it_is_stored_and_the_command_says_whose_it_is(
    command: Command, quotes: Quotes, engine: Engine, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    Editions(quotes).put_in_force(engine.key, files_of(shop(tmp_path / "then")))
    (made,) = issue(quotes, engine, 1)
    for module in ("pricing.quote", "service.cli.recompute"):
        monkeypatch.setattr(f"{module}.ENGINE", "99.0.0")
    assert made_app(engine, quotes).test_client().get(f"/v1/quotes/{made['id']}").json == made
    assert command("recompute", SERVICE_CATALOGUE=str(tmp_path / "then")) == 0
    said = capsys.readouterr().out
    assert f"{made['number']} revision 1:\n  made by engine {made['provenance']['engine']}; this is 99.0.0" in said
    assert "1 recomputed, 1 the same, 0 different." in said  # the same figures: whose they are is no difference

"""`catalogue check` lists what is hardly meant, keeps what the shop accepts by name, and nothing doubted is put in force unasked."""

from __future__ import annotations

import logging
from pathlib import Path
from typing import Any

import pytest

from service.cli.serve import warn_of_doubts
from service.settings import Settings
from service.storage import Editions, Quotes
from tests.service.conftest import Command
from tests.service.shops import small_shop

NAME = "tax/wire/2026-01-01/rate/0.19"


@pytest.fixture
def doubted(tmp_path: Path) -> Path:
    """A shop with a tax of 0.19 where 19 is meant."""
    folder = small_shop(tmp_path / "shop").folder
    tax = (folder / "tax.csv").read_text(encoding="utf-8")
    (folder / "tax.csv").write_text(tax.replace("wire,S,2026-01-01,7,", "wire,S,2026-01-01,0.19,"), encoding="utf-8")
    return folder


def test_a_doubt_is_told_with_its_cell_and_the_way_to_accept_it(command: Command, doubted: Path, capsys: Any) -> None:
    assert command("catalogue", "check", str(doubted)) == 1
    said = capsys.readouterr()
    assert "1 cell(s) are doubted" in said.out
    assert "tax.csv:2: column 'rate': found '0.19', expected 19 for 19 %" in said.err
    assert f"--accept {NAME}" in said.err
    assert not (doubted / "accepted_doubts.csv").exists()


def test_what_is_accepted_is_kept_with_who_and_why_and_another_value_asks_again(command: Command, doubted: Path, capsys: Any) -> None:
    assert command("catalogue", "check", str(doubted), "--accept", NAME) == 2
    assert command("catalogue", "check", str(doubted), "--accept", NAME, "--accept", "tax/none", "--by", "Ada") == 2
    assert not (doubted / "accepted_doubts.csv").exists()
    assert command("catalogue", "check", str(doubted), "--accept", NAME, "--by", "Ada, bench", "--words", "a duty, no tax") == 0
    kept = (doubted / "accepted_doubts.csv").read_text(encoding="utf-8")
    assert kept.startswith("doubt,by,day,words\n")
    assert f'{NAME},"Ada, bench",' in kept
    assert '"a duty, no tax"' in kept
    assert command("catalogue", "check", str(doubted), "--accept", NAME, "--by", "Ada") == 0
    assert (doubted / "accepted_doubts.csv").read_text(encoding="utf-8") == kept
    (doubted / "tax.csv").write_text((doubted / "tax.csv").read_text(encoding="utf-8").replace("0.19", "0.21"), encoding="utf-8")
    capsys.readouterr()
    assert command("catalogue", "check", str(doubted)) == 1
    assert f"{NAME} was accepted by Ada, bench" in capsys.readouterr().out


def test_a_load_refuses_what_is_doubted_in_the_same_words(command: Command, doubted: Path, quotes: Quotes, capsys: Any) -> None:
    before = Editions(quotes).current()
    command("catalogue", "check", str(doubted))
    told = capsys.readouterr().err
    assert command("catalogue", "load", "--yes", SERVICE_CATALOGUE=str(doubted)) == 2
    assert told.strip() in capsys.readouterr().err
    assert Editions(quotes).current() == before
    assert command("catalogue", "check", str(doubted), "--accept", NAME, "--by", "Ada") == 0
    assert command("catalogue", "load", "--yes", SERVICE_CATALOGUE=str(doubted)) == 0


def test_a_server_starts_with_doubted_tables_and_says_once_how_many_there_are(doubted: Path, caplog: pytest.LogCaptureFixture) -> None:
    with caplog.at_level(logging.WARNING, "service"):
        warn_of_doubts(Settings(catalogue=doubted))
    assert [record.getMessage() for record in caplog.records] == [
        f"{doubted}: 1 cell(s) are doubted; `python -m service catalogue check {doubted}` names them"
    ]

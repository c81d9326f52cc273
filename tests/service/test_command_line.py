"""The command line as a whole: help touches nothing, commands that write ask first, a wrong file is reported as such."""

from __future__ import annotations

import io
import os
import pty
import subprocess
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import click
import pytest
from flask.testing import FlaskClient

from service.__main__ import main
from service.cli.main import service
from service.credentials.keys import Kind, Scope
from service.credentials.people import Role
from service.storage import Endpoints, Keys, Quotes, Staff
from tests.batches.fleet import boat, ndjson
from tests.counts import some_of
from tests.service.conftest import DAY, Command
from tests.service.holders import kept_key
from tests.service.shops import dearer
from tests.service.test_backup import rows

ROOT = Path(__file__).parents[2]


def walked(command: click.Command, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], click.Command]]:
    yield path, command
    if isinstance(command, click.Group):
        for name, each in command.commands.items():
            yield from walked(each, (*path, name))


EVERY = dict(walked(service))
ASKS = {path for path, command in EVERY.items() if any(each.name == "yes" for each in command.params)}


class Terminal(io.StringIO):
    """Someone who types."""

    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize("path", EVERY, ids=" ".join)
def test_help_touches_nothing_and_needs_no_settings(
    path: tuple[str, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("SERVICE_PORT", "eighty")  # settings that are read would be refused
    for arguments in ((*path, "--help"), (*path, "-h"), (*path, "--help", "there")):
        assert main(arguments) == 0
        said = capsys.readouterr()
        assert said.out.startswith(f"Usage: {' '.join(['python -m service', *path])} ")
        assert said.err == ""
    assert list(tmp_path.iterdir()) == []


def test_help_in_the_place_of_a_file_is_help(tmp_path: Path) -> None:
    """As a newcomer types it, in a process of its own: no file `--help`, no database."""
    for arguments in (["backup", "--help"], ["restore", "--help"], ["stock", "count", "--help"], ["serve", "--help"]):
        run = [sys.executable, "-m", "service", *arguments]
        done = subprocess.run(run, cwd=tmp_path, env={**os.environ, "PYTHONPATH": str(ROOT)}, capture_output=True, text=True, check=False)
        assert (done.returncode, done.stderr) == (0, "")
        assert list(tmp_path.iterdir()) == []


def test_every_command_says_in_one_line_what_it_does(capsys: pytest.CaptureFixture[str]) -> None:
    for path, command in EVERY.items():
        assert (command.help or "").strip()
        if isinstance(command, click.Group):
            assert main([*path, "--help"]) == 0
            assert "..." not in capsys.readouterr().out.partition("Commands:")[2]  # cut off at 80 columns


def test_help_waits_for_no_library_that_it_does_not_need() -> None:
    probe = "import sys; from service.__main__ import main; main(['backup', '--help']); print(*sorted({'sqlalchemy', 'flask', 'marshmallow', 'numpy', 'gunicorn', 'pricing.quote'} & sys.modules.keys()))"
    done = subprocess.run([sys.executable, "-c", probe], cwd=ROOT, capture_output=True, text=True, timeout=180, check=True)
    assert done.stdout.splitlines()[-1] == ""


def test_the_start_imports_no_other_command() -> None:
    probe = "import sys; import service.cli.main, service.cli.serve; print(*sorted(each for each in sys.modules if each.startswith('service.cli.')))"
    done = subprocess.run([sys.executable, "-c", probe], cwd=ROOT, capture_output=True, text=True, timeout=180, check=True)
    assert set(done.stdout.split()) == {f"service.cli.{each}" for each in ("main", "out", "serve")}


class Shop:
    """A shop with something in it that each command could change."""

    def __init__(self, command: Command, client: FlaskClient, quotes: Quotes, folder: Path) -> None:
        self.quotes = quotes
        made = client.post("/v1/quotes", json={**boat(None, 1), "customer": {"name": "Marigold Tansy"}})
        assert made.status_code == 201
        key = kept_key(quotes, Kind.SECRET, scopes=[Scope.READ]).split("_")[2]
        endpoint = Endpoints(quotes).add("https://8.8.8.8/", [], b"s", DAY)
        Keys(quotes).make_secret()
        self.tables = dearer(folder / "dear")
        (folder / "prices.csv").write_text(
            "sku,unit,from_quantity,unit_price,source\nFORK-SW-3-16IN,each,1,36.20,list\nFORK-SW-3-16IN,each,10,34.40,list\n",
            encoding="utf-8",
        )
        (folder / "fleet.ndjson").write_bytes(ndjson(boat("A")))
        (folder / "out.csv").write_text("mine", encoding="utf-8")
        (folder / "cotters.csv").write_text("sku,name,diameter mm,length mm,mass g,price\nC-9,Cotter,9,60,4,1\n", encoding="utf-8")
        assert command("backup", str(folder / "all.backup")) == 0
        self.writes: Mapping[tuple[str, ...], tuple[str, ...]] = {
            ("batch",): (str(folder / "fleet.ndjson"), "--out", str(folder / "out.csv")),
            ("restore",): (str(folder / "all.backup"),),
            ("catalogue", "load"): (),
            ("prices", "load"): (str(folder / "prices.csv"), "--from", "2026-12-01"),
            ("tables", "put"): (str(self.tables), "--from", "2026-12-01"),
            ("tables", "import"): (
                *(str(folder / "cotters.csv"), "--as", "cotters", "--set", "from_day=2026-12-01"),
                "--into",
                str(self.tables),
            ),
            ("stock", "count"): (str(self.tables / "stock.csv"),),
            ("quotes", "requote"): (made.json["number"],),
            ("customers", "erase"): ("Marigold Tansy",),
            ("customers", "retain"): (),
            ("keys", "rotate"): (key,),
            ("keys", "revoke"): (key,),
            ("links", "withdraw"): (),
            ("people", "end"): (Staff(quotes).add("Benno Benchley", Role.BENCH).id,),
            ("webhooks", "remove"): (endpoint,),
            ("webhooks", "rotate"): (endpoint,),
            ("webhooks", "resend"): (endpoint,),
        }

    def files(self) -> dict[str, bytes]:
        folder = self.tables.parent
        return {str(path): path.read_bytes() for path in folder.rglob("*") if path.is_file() and not path.name.startswith("quotes.sqlite3")}


@pytest.fixture
def shop(command: Command, client: FlaskClient, quotes: Quotes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    made = Shop(command, client, quotes, tmp_path)
    monkeypatch.setenv("SERVICE_CATALOGUE", str(made.tables))
    return made


def test_every_command_that_asks_refuses_without_a_terminal_and_stops_at_a_no(
    shop: Shop, command: Command, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert shop.writes.keys() | {("migrate",)} == ASKS  # what migrates is tried where there are old databases
    before = rows(shop.quotes), shop.files()
    retention = {"SERVICE_RETENTION_MONTHS": "1", "SERVICE_TODAY": "2029-01-01"}
    for path, rest in shop.writes.items():
        settings = retention if path[-1] == "retain" else {"SERVICE_TODAY": DAY.isoformat()}
        capsys.readouterr()
        if path in some_of([*shop.writes], 4):
            assert command(*path, *rest, **settings) == 2, path
            assert "there is no terminal to ask on. Add --yes" in capsys.readouterr().err, path
        with monkeypatch.context() as typing:
            typing.setattr("sys.stdin", Terminal("n\n"))
            assert command(*path, *rest, **settings) == 1, path
        assert capsys.readouterr().err.endswith("Nothing was done.\n"), path
    assert (rows(shop.quotes), shop.files()) == before


def test_a_yes_at_the_terminal_does_what_yes_on_the_line_does(
    shop: Shop, command: Command, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    number = shop.writes["quotes", "requote"][0]
    monkeypatch.setattr("sys.stdin", Terminal("y\n"))
    assert command("quotes", "requote", number) == 0
    said = capsys.readouterr()
    assert "Total to pay: " in said.err  # what changes is told before it is asked
    assert "Make its next revision?" in said.err
    assert f"{number} revision 2" in said.out
    assert {each.revision for each in shop.quotes.page(9)} == {1, 2}


@pytest.mark.long
def test_at_a_real_terminal_it_waits_for_the_answer(quotes: Quotes) -> None:
    Keys(quotes).make_secret()
    before = Keys(quotes).secrets()
    for typed, code in ((b"n\n", 1), (b"y\n", 0)):
        ours, theirs = pty.openpty()
        run = [sys.executable, "-m", "service", "links", "withdraw"]
        environment = {**os.environ, "PYTHONPATH": str(ROOT), "SERVICE_DATABASE_URL": quotes.url}
        with subprocess.Popen(run, stdin=theirs, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, env=environment, text=True) as asked:
            os.write(ours, typed)
            said, _ = asked.communicate(timeout=180)
        os.close(ours)
        os.close(theirs)
        assert asked.returncode == code, said
        assert "Withdraw all links" in said
        assert (Keys(quotes).secrets() == before) is (code == 1)


def test_prices_that_were_changed_while_one_was_asked_are_left_alone(
    shop: Shop, command: Command, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    table = shop.tables / "prices.csv"

    class Slow(Terminal):
        def readline(self, *size: Any) -> str:
            table.write_text(table.read_text(encoding="utf-8") + "\n", encoding="utf-8")
            return "y\n"

    monkeypatch.setattr("sys.stdin", Slow())
    before = table.read_bytes()
    assert command("prices", "load", *shop.writes["prices", "load"]) == 2
    assert "changed meanwhile" in capsys.readouterr().err
    assert table.read_bytes() == before + b"\n"


def test_a_wrong_file_is_called_a_wrong_file(shop: Shop, command: Command, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "picture.csv").write_bytes(b"\x89PNG\r\n\x1a\n\xff")
    (tmp_path / "notes.csv").write_text('"' + "x" * 200_000, encoding="utf-8")
    (tmp_path / "short.csv").write_text("id,wire\nA,B\n", encoding="utf-8")
    here = lambda name: str(tmp_path / name)  # noqa: E731
    before = rows(shop.quotes), shop.files()
    for arguments, words in (
        (("prices", "load", "nofile.csv", "--from", "2026-12-01", "--yes"), "File 'nofile.csv' does not exist"),
        (
            ("prices", "load", here("picture.csv"), "--from", "2026-12-01", "--yes"),
            "picture.csv, row 2: '<1a>': a character that no text has",
        ),
        (("prices", "load", here("notes.csv"), "--from", "2026-12-01", "--yes"), "notes.csv, row 1: cannot be split into cells"),
        (("prices", "load", str(tmp_path), "--from", "2026-12-01", "--yes"), "is a directory"),
        (("stock", "count", "nofile.csv", "--yes"), "File 'nofile.csv' does not exist"),
        (("stock", "count", here("short.csv"), "--yes"), "short.csv"),
        (("stock", "count", here("picture.csv"), "--yes"), "picture.csv is not UTF-8"),
        (("restore", "nofile", "--yes"), "File 'nofile' does not exist"),
        (("restore", here("picture.csv"), "--yes"), "picture.csv is not a complete backup"),
        (("batch", "nofile.csv"), "File 'nofile.csv' does not exist"),
        (("catalogue", "check", "nofolder"), "Directory 'nofolder' does not exist"),
        (("backup", here("fleet.ndjson")), "already exists"),
        (("backup", here("nofolder/all.backup")), "There is no folder"),
        (("gallery", here("fleet.ndjson")), "already exists"),
        (("gallery", here("fleet.ndjson/below")), "fleet.ndjson"),
    ):
        assert command(*arguments) == 2, arguments
        said = capsys.readouterr().err
        assert words in said
        assert "database" not in said
    assert (rows(shop.quotes), shop.files()) == before


def test_a_database_that_cannot_be_opened_is_not_called_a_file(
    command: Command, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert command("quotes", "list", SERVICE_DATABASE_URL=f"sqlite:///{tmp_path}/none/q.sqlite3") == 2
    assert "The database of SERVICE_DATABASE_URL cannot be used" in capsys.readouterr().err


@pytest.mark.parametrize("arguments", [(), ("Q-2026-000001", "--open")])
def test_a_requote_is_of_one_number_or_of_all_that_are_open(command: Command, arguments: tuple[str, ...], capsys: Any) -> None:
    assert command("quotes", "requote", *arguments, "--yes") == 2
    assert "--open" in capsys.readouterr().err
    assert command("recompute", "Q-2026-000001", "--all") == 2

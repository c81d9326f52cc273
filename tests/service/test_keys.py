"""Keys made, listed, rotated and revoked by the command, what is stored of them, and how soon a server notices."""

from __future__ import annotations

import os
import re
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import text

from service.auth.keyring import LOOK_SECONDS, Keyring
from service.cli.serve import prepare, serve, welcome, with_demo_key
from service.credentials.keys import EVERY_SCOPE, Kind, Scope, new_key
from service.engine.engine import Engine
from service.settings import Settings, SettingsError, read_settings
from service.storage import Keys, Quotes
from tests.service.conftest import DAY, KEY, Command
from tests.service.holders import kept_key


def made(command: Command, capsys: Any, *arguments: str) -> str:
    assert command("keys", *arguments) == 0
    return str(capsys.readouterr().out.splitlines()[0])


def test_a_key_tells_its_kind_and_only_its_digest_is_kept(command: Command, quotes: Quotes, capsys: Any) -> None:
    secret = made(command, capsys, "make", "--name", "web shop", "--scopes", "quotes:write, plans")
    page = made(
        command, capsys, "make", "--name", "form", "--publishable", "--origin", "https://shop.example", "--origin", "http://[::1]:5173"
    )
    assert re.fullmatch(r"wq_secret_[0-9a-f]{12}_[A-Za-z0-9_-]{43}", secret)  # 43 characters of base64: 256 bits
    assert page.startswith("wq_publishable_")
    ring = Keyring(Keys(quotes))
    assert (ring.find(secret).scopes, ring.find(secret).kind) == ({Scope.WRITE, Scope.PLANS}, Kind.SECRET)
    assert ring.find(page).origins == {"https://shop.example", "http://[::1]:5173"}
    quotes.close()
    stored = b"".join(path.read_bytes() for path in Path(quotes.url.removeprefix("sqlite:///")).parent.glob("quotes*"))
    assert b"web shop" in stored
    assert secret.split("_", 3)[3].encode() not in stored


def test_the_list_shows_who_has_keys_and_no_key(command: Command, quotes: Quotes, capsys: Any) -> None:
    secret = made(command, capsys, "make", "--name", "web shop", "--scopes", "quotes:read")
    Keyring(Keys(quotes)).find(secret)
    assert command("keys", "list") == 0
    (line,) = capsys.readouterr().out.splitlines()
    assert re.fullmatch(r"[0-9a-f]{12}  secret       \d{4}-\d\d-\d\d  used \d{4}-\d\d-\d\d  live  +web shop: quotes:read", line)
    assert secret.split("_", 3)[3] not in line


def test_a_revoked_key_is_refused_and_a_rotated_one_goes_on_as_long_as_it_is_kept(command: Command, quotes: Quotes, capsys: Any) -> None:
    first = made(command, capsys, "make", "--name", "web shop", "--scopes", "quotes:read")
    second = made(command, capsys, "rotate", first.split("_")[2], "--keep-hours", "24", "--yes")
    third = made(command, capsys, "rotate", second.split("_")[2], "--yes")
    ring = Keyring(Keys(quotes))
    assert [ring.find(each) is not None for each in (first, second, third)] == [True, False, True]
    assert ring.find(third).owner == ring.find(first).owner == first.split("_")[2]
    assert command("keys", "revoke", third.split("_")[2], "--yes") == 0
    assert Keyring(Keys(quotes)).find(third) is None
    assert command("keys", "revoke", third.split("_")[2], "--yes") == 2
    assert "no live key" in capsys.readouterr().err


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["make"],
        ["make", "--name", "x"],
        ["make", "--name", "x", "--scopes", "everything"],
        ["make", "--name", "x", "--scopes", "plans", "--origin", "https://shop.example"],
        ["make", "--name", "x", "--publishable"],
        ["make", "--name", "x", "--publishable", "--scopes", "plans", "--origin", "https://shop.example"],
        ["make", "--name", "x", "--publishable", "--origin", "https://shop.example/"],
        ["make", "--name", "x", "--publishable", "--origin", "*"],
        ["make", "--name", "two\nlines", "--scopes", "plans"],
        ["rotate", "x", "--keep-hours", "1000"],
        ["fly"],
    ],
)
def test_arguments_that_make_no_sense_end_with_2_and_make_nothing(
    command: Command, quotes: Quotes, arguments: list[str], capsys: Any
) -> None:
    assert command("keys", *arguments) == 2
    assert capsys.readouterr().err
    assert Keys(quotes).every() == []


def test_keys_are_read_once_a_second_and_a_revocation_is_known_then(quotes: Quotes) -> None:
    now, reads = [0.0], []

    class Counting(Keys):
        def live(self) -> Any:
            reads.append(now[0])
            return super().live()

    key = kept_key(quotes, scopes=[Scope.READ])
    ring = Keyring(Counting(quotes), clock=lambda: now[0])
    for tenth in range(25):
        now[0] = tenth / 10
        assert ring.find(key) is not None
    assert reads == [0.0, LOOK_SECONDS, 2 * LOOK_SECONDS]
    Keys(quotes).revoke(key.split("_")[2])
    now[0] += LOOK_SECONDS
    assert ring.find(key) is None


def test_a_key_made_this_moment_works_and_unknown_ones_do_not_storm_the_database(quotes: Quotes) -> None:
    now, reads = [0.0], []

    class Counting(Keys):
        def live(self) -> Any:
            reads.append(now[0])
            return super().live()

    ring = Keyring(Counting(quotes), clock=lambda: now[0])
    assert ring.find(new_key(Kind.SECRET)[1]) is None
    key = kept_key(quotes)
    now[0] = 0.2
    assert ring.find(key) is not None
    for hundredth in range(20, 60):
        now[0] = hundredth / 100
        ring.find(new_key(Kind.SECRET)[1])
    assert len(reads) <= 6


def test_keys_known_go_on_while_the_database_is_gone(quotes: Quotes) -> None:
    key = kept_key(quotes)
    now = [0.0]
    ring = Keyring(Keys(quotes), clock=lambda: now[0])
    assert ring.find(key) is not None
    with quotes.engine().begin() as connection:
        connection.execute(text("ALTER TABLE api_keys RENAME TO elsewhere"))
    now[0] = 5.0
    assert ring.find(key) is not None


def test_a_start_makes_a_demo_key_only_on_this_machine_and_while_there_is_no_other(quotes: Quotes, engine: Engine, capsys: Any) -> None:
    settings = Settings(database_url=quotes.url, today=DAY)
    prepare(settings, engine)
    first, second = (with_demo_key(settings).demo_key for _ in range(2))
    assert first != second
    assert str(first).startswith("wq_demo_")
    assert f"Bearer {first}" in welcome(Settings(demo_key=first))
    assert with_demo_key(Settings(database_url=quotes.url, demo_key=KEY)).demo_key == KEY
    assert with_demo_key(Settings(database_url=quotes.url, demo_key=KEY, host="0.0.0.0")).demo_key is None  # noqa: S104
    assert "ignored" in capsys.readouterr().err
    kept_key(quotes, scopes=EVERY_SCOPE)
    assert with_demo_key(settings).demo_key is None
    assert with_demo_key(Settings(database_url=quotes.url, demo_key=KEY)).demo_key is None
    assert "keys of its own" in capsys.readouterr().err
    assert "$KEY" in welcome(with_demo_key(settings))


@pytest.mark.parametrize("host", ["0.0.0.0", "::", "10.0.0.7", "quotes.example"])  # noqa: S104
def test_beyond_this_machine_nothing_starts_without_a_key(quotes: Quotes, host: str, capsys: Any) -> None:
    assert not Settings(host=host).loopback
    if host in ("0.0.0.0", "::"):  # noqa: S104
        port = 20_000 + os.getpid() % 10_000  # below those that are handed out, so that no server of another test has it
        assert serve(Settings(database_url=quotes.url, today=DAY, host=host, port=port, demo_key=KEY)) == 2
        assert "python -m service keys make" in capsys.readouterr().err


def test_this_machine_is_loopback_by_any_name() -> None:
    assert all(Settings(host=host).loopback for host in ("127.0.0.1", "127.9.9.9", "::1", "localhost"))


def test_a_demo_key_that_no_header_can_carry_is_refused() -> None:
    with pytest.raises(SettingsError, match="SERVICE_DEMO_KEY") as refused:
        read_settings({"SERVICE_DEMO_KEY": "two words"})
    assert "two words" not in str(refused.value)

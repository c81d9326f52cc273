"""The commands for webhooks, from the first endpoint to a dead letter that is delivered after all."""

from __future__ import annotations

import logging
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import text
from standardwebhooks import Webhook

from service.storage import Endpoints, Expiries, Quotes, migrate
from service.storage.backup import back_up, restore
from service.storage.customers import Customers
from service.webhooks.delivery import MOST_ENDPOINTS
from tests.service.conftest import DAY, Command, made_app
from tests.webhooks.receiving import Site, receiver, says

PRIVATE = {"SERVICE_WEBHOOK_PRIVATE": "yes"}


def added(command: Command, capsys: pytest.CaptureFixture[str], url: str, *more: str) -> tuple[str, str]:
    assert command("webhooks", "add", url, *more, **PRIVATE) == 0
    endpoint, secret, _ = capsys.readouterr().out.splitlines()
    return endpoint, secret


def test_an_endpoint_is_added_listed_tried_out_given_another_secret_and_removed(
    command: Command, capsys: pytest.CaptureFixture[str], quotes: Quotes
) -> None:
    with receiver() as shop:
        endpoint, secret = added(command, capsys, shop.url, "--events", "quote.accepted,batch.completed")
        assert secret.startswith("whsec_")
        assert command("webhooks", "list") == 0
        listed = capsys.readouterr().out
        assert f"http://127.0.0.1:{shop.port}/hook?..." in listed
        assert "batch.completed quote.accepted" in listed
        assert "asta" not in listed
        assert secret not in listed
        assert command("webhooks", "test", endpoint) == 0
        assert capsys.readouterr().out == "It arrived: 204.\n"
        assert command("webhooks", "rotate", endpoint, "--keep-hours", "1", "--yes") == 0
        newer = capsys.readouterr().out.splitlines()[0]
        assert command("webhooks", "test", endpoint) == 0
        (_, _, first), (_, headers, body) = shop.got
        for each in (secret, newer):
            said = Webhook(each).verify(body, headers)
        assert said["type"] == "webhook.test"
        assert b"webhook.test" in first
        assert command("webhooks", "remove", endpoint, "--yes") == 0
        assert command("webhooks", "test", endpoint) == 2
    capsys.readouterr()
    assert command("webhooks", "list") == 0
    assert "removed by the shop" in capsys.readouterr().out
    with quotes.reading() as connection:
        assert connection.execute(text("SELECT secret, previous FROM webhook_endpoints")).one() == (b"", None)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("add", "http://127.0.0.1:9/"), "https://"),
        (("add", "https://127.0.0.1/"), "not public"),
        (("add", "https://169.254.169.254/latest"), "not public"),
        (("add", "https://shop.invalid/"), "its name"),
        (("add", "https://8.8.8.8/", "--events", "quote.made"), "--events must be"),
        (("add", "https://8.8.8.8/", "--events", "webhook.test"), "--events must be"),
        (("remove", "nobody", "--yes"), "webhooks list"),
        (("rotate", "nobody", "--yes"), "webhooks list"),
        (("resend", "nothing", "--yes"), "webhooks failed"),
        ((), "Usage"),
    ],
)
def test_what_cannot_be_done_is_refused_in_words(
    command: Command, capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...], words: str
) -> None:
    assert command("webhooks", *arguments) == 2
    assert words in capsys.readouterr().err


def test_there_are_no_more_endpoints_than_have_lanes(command: Command, capsys: pytest.CaptureFixture[str], quotes: Quotes) -> None:
    for _ in range(MOST_ENDPOINTS):
        Endpoints(quotes).add("https://8.8.8.8/", [], b"s", DAY)
    assert command("webhooks", "add", "https://8.8.8.8/") == 2
    assert "remove one" in capsys.readouterr().err


def test_a_dead_letter_is_listed_and_delivered_after_all(command: Command, capsys: pytest.CaptureFixture[str], quotes: Quotes) -> None:
    with receiver(says(500)) as shop:
        endpoint, _ = added(command, capsys, shop.url)
        site = Site(quotes)
        quotes.listeners.forget()
        from tests.service.test_storage import QUOTE

        quotes.issue(QUOTE, b"{}")
        for _ in range(10):
            site.deliver()
            site.clock.ahead += 200_000
        assert command("webhooks", "failed") == 0
        line = capsys.readouterr().out
        assert (endpoint in line, "quote.issued" in line, "10 attempts  500" in line) == (True, True, True)
        shop.answers = [says(200)]
        assert command("webhooks", "resend", endpoint, "--yes") == 0
        site.deliver()
    assert site.states() == [("delivered", 1, "200")]
    site.courier.close()
    capsys.readouterr()
    assert command("webhooks", "failed") == 0
    assert capsys.readouterr().out == "No message has failed for good.\n"


def test_where_there_is_no_endpoint_it_says_how_to_make_one(command: Command, capsys: pytest.CaptureFixture[str]) -> None:
    assert command("webhooks", "list") == 0
    assert "`webhooks add URL`" in capsys.readouterr().out


def test_the_first_endpoint_is_not_told_of_what_expired_before(
    command: Command, capsys: pytest.CaptureFixture[str], quotes: Quotes
) -> None:
    added(command, capsys, "http://127.0.0.1:9/", "--events", "quote.expired")
    with quotes.reading() as connection:
        assert connection.execute(text("SELECT reached FROM chores")).scalar_one() == "2026-11-24 ~"
    quotes.listeners.forget()
    assert Expiries(quotes, lambda: DAY).report() == 0


def test_neither_log_nor_messages_have_a_name_an_address_or_a_secret(
    quotes: Quotes, engine: Any, demo: dict[str, Any], caplog: pytest.LogCaptureFixture
) -> None:
    demo["customer"] = {"name": "Asta Lindqvist", "email": "asta@boats.example"}
    site = Site(quotes)
    with receiver(says(500)) as shop, caplog.at_level(logging.INFO, "service"):
        logging.getLogger("service").propagate = True
        endpoint, _ = site.endpoint(shop.url)
        made_app(engine, quotes).test_client().post("/v1/quotes", json=demo)
        site.deliver()
    site.courier.close()
    (line,) = [each for each in caplog.records if each.getMessage().startswith("webhook")]
    assert (line.endpoint, line.event, line.attempt, line.outcome, line.status) == (endpoint, "quote.issued", 1, "again", 500)  # type: ignore[attr-defined]
    assert "token" not in str(vars(line))
    assert "127.0.0.1" not in str(vars(line))
    before = [bytes(row.body) for row in site.rows()]
    customers = Customers(quotes)
    customers.erase(customers.find("Asta Lindqvist"), DAY.isoformat())
    assert [bytes(row.body) for row in site.rows()] == before
    assert b"Asta" not in before[0]
    assert b"asta@" not in before[0]


def test_what_a_backup_takes_along_is_delivered_from_the_other_database(quotes: Quotes, tmp_path: Path, postgres: str) -> None:
    from tests.service.test_kills import emptied
    from tests.service.test_storage import QUOTE

    site = Site(quotes)
    with receiver() as shop:
        site.endpoint(shop.url)
        quotes.issue(QUOTE, b"{}")
        back_up(quotes, tmp_path / "kept.gz")
        other = Quotes(emptied(postgres))
        restore(other, tmp_path / "kept.gz")
        moved = Site(other)
        moved.deliver()
        assert shop.ids() == [row.id for row in site.rows()]
        moved.courier.close()
        with other.engine().begin() as connection:
            connection.execute(text("DROP SCHEMA public CASCADE"))
            connection.execute(text("CREATE SCHEMA public"))
        migrate(other.engine())
        other.close()
    site.courier.close()

"""Settings from the environment: each invalid one is named, with the values it accepts."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from service.settings import FORMER, READERS, Settings, SettingsError, read_settings, unknown


def test_nothing_set_is_a_server_on_loopback_over_a_file() -> None:
    assert read_settings({"PATH": "/bin", "SERVICE_HOST": ""}) == Settings()
    assert (Settings().host, Settings().port, Settings().database_url) == ("127.0.0.1", 8000, "sqlite:///quotes.sqlite3")


def test_every_setting_is_read(tmp_path: Path) -> None:
    found = read_settings(
        {
            "SERVICE_HOST": "::", "SERVICE_PORT": "9000", "SERVICE_DATABASE_URL": "postgresql://u:p@db/quotes", "SERVICE_REDIS_URL": "redis://r",
            "SERVICE_CATALOGUE": str(tmp_path), "SERVICE_DEMO_KEY": "k", "SERVICE_TODAY": "2026-11-25", "SERVICE_TIMEZONE": "Pacific/Auckland",
            "SERVICE_MAX_BODY_BYTES": "2000", "SERVICE_WORKERS": "1", "SERVICE_THREADS": "4",
        }
    )  # fmt: skip
    assert found.database_url == "postgresql+psycopg://u:p@db/quotes"
    assert (found.catalogue, found.today, found.timezone) == (tmp_path, date(2026, 11, 25), ZoneInfo("Pacific/Auckland"))
    assert (found.host, found.port, found.redis_url, found.demo_key, found.max_body_bytes, found.workers, found.threads) == (
        "::",
        9000,
        "redis://r",
        "k",
        2000,
        1,
        4,
    )


@pytest.mark.parametrize(
    ("host", "address"),
    [
        ("127.0.0.1", "http://127.0.0.1:8000"), ("localhost", "http://localhost:8000"), ("192.0.2.7", "http://192.0.2.7:8000"),
        ("0.0.0.0", "http://127.0.0.1:8000"), ("::", "http://[::1]:8000"), ("2001:db8::7", "http://[2001:db8::7]:8000"),  # noqa: S104  # compared
    ],
)  # fmt: skip
def test_a_browser_on_this_machine_is_told_an_address_that_it_can_open(host: str, address: str) -> None:
    """RFC 4291, 2.5.2, and RFC 1122, 3.2.1.3: the unspecified address is none to connect to."""
    assert Settings(host=host).address == address


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("PORT", "0"), ("PORT", "65536"), ("PORT", "eighty"), ("PORT", "8000.0"), ("PORT", "٨٠"), ("TODAY", "25.11.2026"), ("TODAY", "2026-02-30"),
        ("TIMEZONE", "Mars/Olympus"), ("TIMEZONE", "../etc/passwd"), ("CATALOGUE", "/no/such/folder"), ("DATABASE_URL", "quotes.db"),
        ("DATABASE_URL", "mysql://x/y"), ("MAX_BODY_BYTES", "0"), ("WORKERS", "-1"), ("THREADS", "many"),
    ],
)  # fmt: skip
def test_a_wrong_setting_is_refused_by_name(name: str, text: str) -> None:
    with pytest.raises(SettingsError) as caught:
        read_settings({f"SERVICE_{name}": text})
    (fault,) = caught.value.faults
    assert fault.startswith(f"SERVICE_{name}: found ")


def test_all_wrong_settings_are_named_at_once_and_secrets_are_not_repeated() -> None:
    with pytest.raises(SettingsError) as caught:
        read_settings({"SERVICE_PORT": "x", "SERVICE_TODAY": "y", "SERVICE_DATABASE_URL": "oracle://scott:tiger@db"})
    assert len(caught.value.faults) == 3
    assert "tiger" not in str(caught.value)


def test_the_day_is_the_fixed_one_or_that_of_the_shops_time_zone() -> None:
    assert Settings(today=date(2026, 11, 25)).day() == date(2026, 11, 25)
    zone = ZoneInfo("Pacific/Kiritimati")
    before = datetime.now(zone).date()
    assert before <= Settings(timezone=zone).day() <= datetime.now(zone).date()


def test_what_looks_like_a_setting_and_is_none_is_told() -> None:
    assert unknown({"SERVICE_PROT": "80", "SERVICE_PORT": "80", "OTHER": "x"}) == ["SERVICE_PROT"]


def test_a_former_name_is_refused_with_the_new_one() -> None:
    with pytest.raises(SettingsError) as caught:
        read_settings({"SERVICE_MAX_BODY": "2000", "SERVICE_MAX_BODY_BYTES": "2000", "SERVICE_BATCH_LEASE": "5", "SERVICE_LOG": ""})
    assert caught.value.faults == (
        "SERVICE_MAX_BODY is now SERVICE_MAX_BODY_BYTES: rename it",
        "SERVICE_BATCH_LEASE is now SERVICE_BATCH_LEASE_SECONDS: rename it",
    )


def test_every_former_name_has_a_setting_in_its_place() -> None:
    assert set(FORMER.values()) <= set(READERS)
    assert not set(FORMER) & set(READERS)


def test_a_number_of_seconds_says_so_and_limits_are_named_alike() -> None:
    words = [name.split("_") for name in READERS]
    assert not [each for each in words if {"least", "most", "minimum", "maximum", "lease"} & {each[0], each[-1]}]
    assert [each for each in words if "min" in each or "max" in each] == [each for each in words if each[0] in ("min", "max")]

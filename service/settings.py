"""Settings, read once from the environment into one frozen object. A wrong one is refused with its name and what it takes."""

from __future__ import annotations

import ipaddress
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from sqlalchemy import make_url
from sqlalchemy.exc import ArgumentError

from service.guard.limits.policies import read_limits

UTC = ZoneInfo("UTC")


def now_utc() -> datetime:
    """This moment."""
    return datetime.now(UTC)


DATABASES = ("sqlite", "postgresql")


class SettingsError(ValueError):
    """Settings that cannot be used; `faults` holds one sentence for each."""

    def __init__(self, faults: list[str]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(faults))


@dataclass(frozen=True, slots=True)
class Settings:
    """Everything that a deployment decides. `limits`: requests a minute by name, where they differ from the usual ones.

    `plan_seconds` ends a cutting plan asked for by the clock. Usual orders end by their steps long before, so equal input gives an equal plan.
    """

    host: str = "127.0.0.1"
    port: int = 8000
    database_url: str = "sqlite:///quotes.sqlite3"
    redis_url: str | None = None
    catalogue: Path | None = None
    demo_key: str | None = None
    form_key: str | None = None
    today: date | None = None
    timezone: ZoneInfo | None = None
    holidays: str | None = None
    base_url: str | None = None
    max_body: int = 2_000_000
    workers: int = 2
    threads: int = 32
    plan_seconds: int | None = 20
    batch_workers: int = 1
    batch_lines: int = 100_000
    batch_mb: int = 1000
    batch_lease: int = 20
    webhook_private: bool = False
    webhook_seconds: int = 15
    retention_months: int | None = None
    log: str | None = None
    least_free_mb: int = 100
    limits: Mapping[str, int] = field(default_factory=dict)
    now: Callable[[], datetime] = now_utc  # the clock, which only tests set
    shop_key: str | None = None  # of the demonstration shop; only a start makes it

    @property
    def log_form(self) -> str:
        """How the log is written: for people where only this machine can reach the service, else for programs, unless set."""
        return self.log or ("text" if self.loopback else "json")

    @property
    def loopback(self) -> bool:
        """Whether only this machine can reach the service."""
        try:
            return ipaddress.ip_address(self.host).is_loopback
        except ValueError:
            return self.host == "localhost"

    @property
    def address(self) -> str:
        """Where it answers, as a browser of this machine is told."""
        return f"http://{f'[{self.host}]' if ':' in self.host else self.host}:{self.port}"

    def day(self, shop: ZoneInfo = UTC) -> date:
        """The shop's day: the fixed one, or today in the time zone that is set, else in that of the shop's terms."""
        return self.today or self.now().astimezone(self.timezone or shop).date()


def _whole(least: int, most: int) -> Callable[[str], int]:
    def read(text: str) -> int:
        if not text.isascii() or not text.isdigit() or not least <= int(text) <= most:
            raise ValueError(f"a whole number from {least} to {most}")
        return int(text)

    return read


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise ValueError("a day as YYYY-MM-DD") from None


def _zone(text: str) -> ZoneInfo:
    try:
        return ZoneInfo(text)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise ValueError("a time zone such as Europe/Lisbon or UTC") from None


def _holidays(text: str) -> str:
    from service.documents.quotation import workdays

    if not workdays.known(text):
        raise ValueError("a country, or a part of one, whose public holidays are known, such as US, US-RI, DE-HH or NZ")
    return text


def _base(text: str) -> str:
    if not re.fullmatch(r"https?://[A-Za-z0-9.\-]+(?::[0-9]{1,5})?(?:/[A-Za-z0-9._~/\-]*)?", text):
        raise ValueError("the address that people reach the service at, such as https://quotes.shop.example")
    return text.rstrip("/")


def _folder(text: str) -> Path:
    if not Path(text).is_dir():
        raise ValueError("a folder with the catalogue's tables")
    return Path(text)


def _database(text: str) -> str:
    expected = "a URL such as sqlite:///quotes.sqlite3 or postgresql+psycopg://user@host/name"
    try:
        url = make_url(text)
    except ArgumentError:
        raise ValueError(expected) from None
    if url.get_backend_name() not in DATABASES:
        raise ValueError(expected)
    if url.drivername == "postgresql":
        url = url.set(drivername="postgresql+psycopg")
    return url.render_as_string(hide_password=False)


def _log(text: str) -> str:
    if text not in ("json", "text"):
        raise ValueError("json or text")
    return text


def _yes(text: str) -> bool:
    if text not in ("yes", "no"):
        raise ValueError("yes or no")
    return text == "yes"


def _key(text: str) -> str:
    if not re.fullmatch(r"[A-Za-z0-9._~+/-]{1,200}=*", text):
        raise ValueError("a key of letters, digits and . _ ~ + / -, as a header can carry it")
    return text


READERS: dict[str, Callable[[str], object]] = {
    "host": str,
    "port": _whole(1, 65535),
    "database_url": _database,
    "redis_url": str,
    "catalogue": _folder,
    "demo_key": _key,
    "form_key": _key,
    "today": _day,
    "timezone": _zone,
    "holidays": _holidays,
    "base_url": _base,
    "max_body": _whole(1, 100_000_000),
    "workers": _whole(1, 64),
    "threads": _whole(1, 256),
    "plan_seconds": _whole(1, 600),
    "batch_workers": _whole(0, 64),
    "batch_lines": _whole(1, 10_000_000),
    "batch_mb": _whole(1, 1_000_000),
    "batch_lease": _whole(1, 3600),
    "webhook_private": _yes,
    "webhook_seconds": _whole(1, 30),
    "retention_months": _whole(1, 600),
    "log": _log,
    "least_free_mb": _whole(0, 1_000_000),
    "limits": read_limits,
}
_SECRET = frozenset({"demo_key", "form_key", "database_url", "redis_url"})


def read_settings(environment: Mapping[str, str]) -> Settings:
    """Settings from `SERVICE_...` variables; an empty one counts as not set. Raises SettingsError with every fault."""
    values: dict[str, object] = {}
    faults: list[str] = []
    for name, read in READERS.items():
        text = environment.get(variable(name), "")
        if not text:
            continue
        try:
            values[name] = read(text)
        except ValueError as fault:
            found = "a value that is not" if name in _SECRET else f"{text!r}, expected"
            faults.append(f"{variable(name)}: found {found} {fault}")
    if faults:
        raise SettingsError(faults)
    return Settings(**values)  # type: ignore[arg-type]  # READERS has the type of each field


def variable(name: str) -> str:
    """The environment variable of a setting."""
    return f"SERVICE_{name.upper()}"


def unknown(environment: Mapping[str, str]) -> list[str]:
    """Variables that look like settings and are none: most often a slip of the pen."""
    known = set(map(variable, READERS))
    return sorted(name for name in environment if name.startswith("SERVICE_") and name not in known)

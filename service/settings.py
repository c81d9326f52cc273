"""Settings, read once from the environment into a frozen object. An invalid one is refused, naming the setting and what it accepts."""

from __future__ import annotations

import ipaddress
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from service.credentials.quotas import read_limits

UTC = ZoneInfo("UTC")


def now_utc() -> datetime:
    """The current time in UTC."""
    return datetime.now(UTC)


DATABASES = ("sqlite", "postgresql")


def this_machine(host: str) -> bool:
    """Whether a host, with or without a port, as in a setting or a request, is a loopback address or `localhost`."""
    name = (
        host
        if host.count(":") > 1 and not host.startswith("[")
        else host.rpartition("]")[0] + "]"
        if "]" in host
        else host.partition(":")[0]
    )
    try:
        return ipaddress.ip_address(name.strip("[]")).is_loopback
    except ValueError:
        return name == "localhost"


class SettingsError(ValueError):
    """Settings that cannot be used; `faults` has one sentence for each."""

    def __init__(self, faults: list[str]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(faults))


@dataclass(frozen=True, slots=True)
class Settings:
    """Everything a deployment can configure. `rate_limits`: requests per minute by name, where they differ from the defaults.

    `plan_seconds` limits the time for a requested cutting plan, all its wires together, to within a tenth. The planner's step budget usually
    ends much earlier, so equal input gives an equal plan. `computing_workers`: number of processes for large computations in each of two
    queues; each computation may use `computing_seconds` of processor time and `max_computing_mb` of memory more than the idle process. With 0,
    the request threads compute everything themselves.
    """

    host: str = "127.0.0.1"
    port: int = 8000
    database_url: str = "sqlite:///quotes.sqlite3"
    redis_url: str | None = None
    catalogue: Path | None = None
    demo_key: str | None = None
    form_key: str | None = None
    desk: bool | None = None  # None: decided at start-up (service/cli/serve.py)
    today: date | None = None
    timezone: ZoneInfo | None = None
    holidays: str | None = None
    base_url: str | None = None
    max_body_bytes: int = 2_000_000
    workers: int = 2
    threads: int = 32
    plan_seconds: int | None = 20
    computing_workers: int = 2
    computing_seconds: int = 5
    max_computing_mb: int = 300
    batch_workers: int = 1
    max_batch_lines: int = 100_000
    max_batch_mb: int = 1000
    batch_lease_seconds: int = 20
    webhook_private: bool = False
    webhook_seconds: int = 15
    retention_months: int | None = None
    log_format: str | None = None
    min_free_mb: int = 100
    rate_limits: Mapping[str, int] = field(default_factory=dict)
    now: Callable[[], datetime] = now_utc  # the clock, set only by tests
    shop_key: str | None = None  # key of the demonstration shop; set only at start-up
    demo_beside_keys: bool = False  # whether the demo key is accepted while other keys exist: only for tests that need both

    @property
    def chosen_log_format(self) -> str:
        """The log format: unless set, text if only this machine can reach the service, otherwise JSON."""
        return self.log_format or ("text" if self.loopback else "json")

    @property
    def loopback(self) -> bool:
        """Whether only this machine can reach the service."""
        return this_machine(self.host)

    @property
    def address(self) -> str:
        """The service's URL for a browser on this machine; if it listens on all addresses, the loopback address."""
        host = {"0.0.0.0": "127.0.0.1", "::": "::1"}.get(self.host, self.host)  # noqa: S104  # only compared; nothing is bound to it
        return f"http://{f'[{host}]' if ':' in host else host}:{self.port}"

    def day(self, shop: ZoneInfo = UTC) -> date:
        """The shop's date: the configured fixed date, or today in the configured time zone, by default that of the shop's terms."""
        return self.today or self.now().astimezone(self.timezone or shop).date()


def _integer(least: int, most: int) -> Callable[[str], int]:
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
    from service.lifecycle import business_days

    if not business_days.known(text):
        raise ValueError("a country, or a subdivision of one, whose public holidays are known, such as US, US-RI, DE-HH or NZ")
    return text


def _base(text: str) -> str:
    if not re.fullmatch(r"https?://[A-Za-z0-9.\-]+(?::[0-9]{1,5})?(?:/[A-Za-z0-9._~/\-]*)?", text):
        raise ValueError("the URL at which people reach the service, such as https://quotes.shop.example")
    return text.rstrip("/")


def _folder(text: str) -> Path:
    if not Path(text).is_dir():
        raise ValueError("a folder with the catalogue's tables")
    return Path(text)


def _database(text: str) -> str:
    from sqlalchemy import make_url
    from sqlalchemy.exc import ArgumentError

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


def _log_format(text: str) -> str:
    if text not in ("json", "text"):
        raise ValueError("json or text")
    return text


def _yes_or_no(text: str) -> bool:
    if text not in ("yes", "no"):
        raise ValueError("yes or no")
    return text == "yes"


def _key(text: str) -> str:
    if not re.fullmatch(r"[A-Za-z0-9._~+/-]{1,200}=*", text):
        raise ValueError("a key of letters, digits and . _ ~ + / -, as an HTTP header can contain it")
    return text


READERS: dict[str, Callable[[str], object]] = {
    "host": str,
    "port": _integer(1, 65535),
    "database_url": _database,
    "redis_url": str,
    "catalogue": _folder,
    "demo_key": _key,
    "form_key": _key,
    "desk": _yes_or_no,
    "today": _day,
    "timezone": _zone,
    "holidays": _holidays,
    "base_url": _base,
    "max_body_bytes": _integer(1, 100_000_000),
    "workers": _integer(1, 64),
    "threads": _integer(1, 256),
    "plan_seconds": _integer(5, 600),
    "computing_workers": _integer(0, 64),
    "computing_seconds": _integer(1, 600),
    "max_computing_mb": _integer(50, 100_000),
    "batch_workers": _integer(0, 64),
    "max_batch_lines": _integer(1, 10_000_000),
    "max_batch_mb": _integer(1, 1_000_000),
    "batch_lease_seconds": _integer(1, 3600),
    "webhook_private": _yes_or_no,
    "webhook_seconds": _integer(1, 30),
    "retention_months": _integer(1, 600),
    "log_format": _log_format,
    "min_free_mb": _integer(0, 1_000_000),
    "rate_limits": read_limits,
}
# The meaning and the default of each setting; the reference in service/guides is generated from this.
MEANING: dict[str, tuple[str, str]] = {
    "host": (
        "the address to listen on; if other machines can reach it, the service only starts once the shop has an API key",
        "`127.0.0.1`",
    ),
    "port": ("the port to listen on", "`8000`"),
    "database_url": ("SQLite or PostgreSQL (install the extra `postgres`)", "an SQLite file in the working folder"),
    "redis_url": (
        "a Redis that several machines share, for counting requests and waking batch workers (install the extra `redis`)",
        "files beside the database",
    ),
    "catalogue": ("the folder of the shop's tables", "the invented demo catalogue"),
    "demo_key": ("the demo key, accepted only from this machine, and only while no other key exists", "made by each start"),
    "form_key": ("the publishable key that the pages at `/form` and `/measure` use", "no such pages"),
    "desk": (
        "`yes`: serve the pages at `/desk` for the shop's staff, who sign in with links that `python -m service people` prints",
        "`yes` on this machine while the shop has no keys of its own, else `no`",
    ),
    "today": ("a fixed day, for tests and demos", "today"),
    "timezone": ("the time zone in which the shop's day begins, such as `Europe/Lisbon`", "the shop's terms"),
    "holidays": (
        "the country, or subdivision of one, whose public holidays are not business days, such as `US`, `US-RI`, `DE-HH`",
        "no holidays, and the quotation says so",
    ),
    "base_url": (
        "the URL at which people reach the service (`https://quotes.shop.example`): customers' links, sign-in links to the desk, and links in PDFs begin with it",
        "links in pages are relative, PDFs have none, and if other machines can reach the service, the desk shows links without a host, since a request may name any",
    ),
    "max_body_bytes": ("the largest request body in bytes, except for batches", "`2000000`"),
    "workers": ("processes that handle requests; one per core is sensible", "`2`"),
    "threads": ("threads in each of these processes for requests that only read, and as many again for all others", "`32`"),
    "plan_seconds": (
        "the time in seconds that a cutting plan requested by itself may take, to within a tenth, at least 5; most orders take much less",
        "`20`",
    ),
    "computing_workers": (
        "processes for large computations in each of two queues, one for quotes, sheets and documents, one for cutting plans. A computation that exceeds its time or memory is ended, and its request gets 503 with the reason. 0: the request threads compute everything, without these limits",
        "`2`",
    ),
    "computing_seconds": ("the processor time in seconds that a computation may take, except a cutting plan", "`5`"),
    "max_computing_mb": ("the memory in megabytes that a computation may take in addition to what its process uses when idle", "`300`"),
    "batch_workers": ("processes beside the server that process batches and deliver webhooks; 0 for none", "`1`"),
    "max_batch_lines": ("the largest number of lines in a batch", "`100000`"),
    "max_batch_mb": ("the largest batch in megabytes", "`1000`"),
    "batch_lease_seconds": ("the time in seconds after which another worker takes over from one that shows no sign of life", "`20`"),
    "webhook_private": ("`yes`: webhooks may be sent to private addresses, and over `http` to this machine", "`no`"),
    "webhook_seconds": ("the time in seconds that a receiver of webhooks may take to respond", "`15`"),
    "retention_months": (
        "the number of months for which customers' data is kept after the last activity on their quotes; then `customers retain` erases it",
        "not limited",
    ),
    "log_format": ("`json` or `text`", "text on this machine, else JSON"),
    "min_free_mb": ("the free space in megabytes on the disk with the SQLite file below which `/readyz` returns 503", "`100`"),
    "rate_limits": (
        "requests per minute where they differ from the defaults, for example `publishable.quotes=60,secret.plans=30`",
        "see keys and limits",
    ),
}
_SECRET = frozenset({"demo_key", "form_key", "database_url", "redis_url"})
# Former names of settings. They are refused, naming the new one, so that no deployment changes silently.
FORMER = {
    "max_body": "max_body_bytes",
    "computing": "computing_workers",
    "computing_mb": "max_computing_mb",
    "batch_lines": "max_batch_lines",
    "batch_mb": "max_batch_mb",
    "batch_lease": "batch_lease_seconds",
    "log": "log_format",
    "least_free_mb": "min_free_mb",
    "limits": "rate_limits",
}


def read_settings(environment: Mapping[str, str]) -> Settings:
    """Read settings from `SERVICE_...` variables; an empty one counts as not set. Raises SettingsError with every fault."""
    values: dict[str, object] = {}
    faults = [f"{variable(old)} is now {variable(new)}: rename it" for old, new in FORMER.items() if environment.get(variable(old))]
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
    """Environment variables that look like settings but are not, which are mostly typos; sorted."""
    known = set(map(variable, READERS))
    return sorted(name for name in environment if name.startswith("SERVICE_") and name not in known)

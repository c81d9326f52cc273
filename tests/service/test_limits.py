"""Rate limits: leaky buckets, in a file shared by processes and in Redis, reported in every response and enforced with 429."""

from __future__ import annotations

import multiprocessing
import os
import re
import stat
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from flask import Flask

from service.credentials.keys import Kind, Scope
from service.credentials.quotas import RATES, USUAL, WRONG_ADDRESSES, WRONG_KEYS, read_limits
from service.engine.engine import Engine
from service.rate_limit.buckets import Buckets, FileBuckets, Taken, side_file
from service.rate_limit.enforce import network
from service.rate_limit.purse import Purse
from service.settings import Settings, SettingsError, read_settings
from service.storage import Quotes
from tests.service.conftest import made_app
from tests.service.holders import PAGE, bearing, kept_key, link_to
from tests.service.test_access import bare

FOLDER = "wire-quotes:limit:"
REDIS = os.environ.get("TEST_REDIS_URL", "redis://127.0.0.1:6379/15")


Later = Callable[[str, float], object]


def standing(app: Flask) -> Flask:
    """The application with a clock of its limits that stands still."""
    app.extensions["gate"].buckets._clock = lambda: 1000.0
    return app


@pytest.fixture(params=["file", "redis"])
def buckets(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[tuple[Buckets, Later]]:
    """Buckets of each kind, and what makes one of them so many seconds older; skips where no Redis answers."""
    now = [1000.0]

    def later(name: str, seconds: float) -> object:
        if request.param == "file":
            now[0] += seconds
            return None
        return found._client.incrbyfloat(f"{FOLDER}{name}", -seconds)  # its clock is Redis's own

    if request.param == "file":
        found: Any = FileBuckets(f"sqlite:///{tmp_path}/q.sqlite3", lambda: now[0])
    else:
        from service.rate_limit.redis_buckets import RedisBuckets

        found = RedisBuckets(REDIS)
        try:
            found.take(f"test {uuid4()}", 1, 60)
        except OSError:
            if os.environ.get("TEST_SERVICES_REQUIRED"):
                raise
            # on a newcomer's machine without one; .ci/run starts its own, and then it is a failure
            pytest.skip("no Redis answers at 127.0.0.1:6379; start one or set TEST_REDIS_URL")
    yield found, later
    found.close()


def test_a_bucket_gives_its_quota_at_once_and_then_one_an_interval(buckets: tuple[Buckets, Later]) -> None:
    (found, later), name = buckets, f"test {uuid4()}"
    taken = [found.take(name, 50, 250) for _ in range(6)]
    assert [each.allowed for each in taken] == [True] * 5 + [False]
    assert 200 < taken[4].ahead <= 250  # five intervals, less the time since the first
    later(name, 110)
    assert [found.take(name, 50, 250).allowed for _ in range(3)] == [True, True, False]
    assert found.take(f"test {uuid4()}", 50, 250).allowed


def _take_many(url: str) -> int:
    buckets = FileBuckets(url)
    try:
        return sum(buckets.take("one", 10.0, 600.0).allowed for _ in range(100))
    finally:
        buckets.close()


@pytest.mark.long
def test_processes_share_one_bucket(tmp_path: Path) -> None:
    with multiprocessing.get_context("spawn").Pool(3) as pool:
        assert sum(pool.map(_take_many, [f"sqlite:///{tmp_path}/q.sqlite3"] * 3)) == 60  # 600 s at one in 10 s


def test_what_is_taken_beforehand_never_lets_more_through() -> None:
    """Two processes of one server, each with what it has taken: 6,000 a minute in all, and what is told is told as if nothing were held."""
    name, kept = f"test {uuid4()}", _Still()
    one, other = Purse(kept, lambda: 0.0), Purse(kept, lambda: 0.0)
    first = one.take(name, 0.01, 60)
    assert (first.allowed, round(first.ahead, 6)) == (True, 0.01)
    through = 1 + sum(purse.take(name, 0.01, 60).allowed for purse in (one, one, other) for _ in range(2_500))
    through += sum(purse.take(name, 0.01, 60).allowed for purse in (one, other) for _ in range(3))
    assert through == 6_000
    assert kept.asked == 3_000 + 2 * 1_507  # two at once for those let through; who is refused was asked about two, and then one


def test_what_is_held_is_forgotten_after_a_second() -> None:
    name, now, kept = f"test {uuid4()}", [0.0], _Still()
    purse = Purse(kept, lambda: now[0])
    assert [purse.take(name, 0.0001, 60).allowed for _ in range(10)] == [True] * 10
    assert kept.asked == 1
    now[0] = 1.0
    purse.take(name, 0.0001, 60)
    assert kept.asked == 2


def test_small_quotas_are_taken_one_by_one() -> None:
    name, kept = f"test {uuid4()}", _Still()
    one, other = Purse(kept), Purse(kept)
    assert [purse.take(name, 0.2, 60).allowed for purse in (one, other) * 151][-4:] == [True, True, False, False]
    assert kept.asked == 302


class _Still:
    """Buckets by a clock that stands still, and how often they were asked."""

    def __init__(self) -> None:
        self.asked, self._full = 0, dict[str, float]()

    def take(self, name: str, interval: float, window: float) -> Taken:
        self.asked += 1
        full = self._full.get(name, 0.0)
        if full + interval > window + 1e-6:
            return Taken(False, full)
        self._full[name] = full + interval
        return Taken(True, full + interval)


def test_a_key_that_asks_too_often_is_429_and_told_when(engine: Engine, quotes: Quotes) -> None:
    client = standing(made_app(engine, quotes, rate_limits={"secret.reads": 3})).test_client()
    key, other = (bearing(kept_key(quotes, scopes=[Scope.READ])) for _ in range(2))
    answers = [client.get("/v1/quotes", headers=key) for _ in range(4)]
    assert [each.status_code for each in answers] == [200, 200, 200, 429]
    # one of three a minute comes back in 20 s; all of them in 60 (draft-ietf-httpapi-ratelimit-headers-10, 3 and 4)
    assert [each.headers["RateLimit"] for each in answers] == [f'"secret.reads";r={left};t={20 * (3 - left)}' for left in (2, 1, 0)] + [
        '"secret.reads";r=0;t=60'
    ]
    assert {each.headers["RateLimit-Policy"] for each in answers} == {'"secret.reads";q=3;w=60'}
    assert answers[3].headers["Retry-After"] == "20"
    assert client.get("/v1/quotes", headers=other).status_code == 200
    assert client.get("/livez", headers=key).status_code == 200


def test_an_address_that_shows_wrong_keys_is_429_and_keeps_nobody_else_out(engine: Engine, quotes: Quotes, demo: dict[str, Any]) -> None:
    app = standing(made_app(engine, quotes, rate_limits={"wrong.keys": 3}))
    client, right = bare(app), bearing(kept_key(quotes, scopes=[Scope.READ, Scope.WRITE]))
    at = client.post("/v1/quotes", json=demo, headers=right).headers["Location"]
    token = link_to(quotes, at.rsplit("/", 1)[1])
    app.extensions["keyring"]._ring = None  # as a moment later
    wrong = bearing("wq_secret_0123456789ab_" + "x" * 43)
    here, there = {"REMOTE_ADDR": "192.0.2.7"}, {"REMOTE_ADDR": "192.0.2.8"}  # RFC 5737
    answers = [client.get("/v1/quotes", headers=wrong, environ_base=here) for _ in range(5)]
    assert [each.status_code for each in answers] == [401, 401, 401, 429, 429]
    assert answers[4].headers["Retry-After"] == "20"  # three a minute
    assert answers[4].json["errors"][0]["code"] == "too_many_requests"
    assert client.get(f"{at}?token=no", environ_base=here).status_code == 429  # a wrong link is a wrong key
    assert client.get("/v1/quotes", headers=right, environ_base=here).status_code == 200
    assert client.get(f"{at}?token={token}", environ_base=here).status_code == 200
    assert client.get("/v1/quotes", environ_base=here).status_code == 401  # none at all is no guess
    assert client.get("/v1/quotes", headers=wrong, environ_base=there).status_code == 401


def test_an_address_of_ipv6_counts_by_its_network() -> None:
    """RFC 3849's addresses; a subnet has 64 bits (RFC 4291, 2.5.1)."""
    assert network("2001:db8:0:1::1") == network("2001:db8:0:1:ffff::2") != network("2001:db8:0:2::1")
    assert network("::ffff:192.0.2.7") == network("192.0.2.7") != network("192.0.2.8")


def test_kinds_of_keys_and_of_requests_have_buckets_of_their_own(engine: Engine, quotes: Quotes, demo: dict[str, Any]) -> None:
    client = standing(made_app(engine, quotes, rate_limits={"publishable.quotes": 1})).test_client()
    page = bearing(kept_key(quotes, Kind.PUBLISHABLE, origins=[PAGE]), Origin=PAGE)
    server = bearing(kept_key(quotes, scopes=[Scope.WRITE]))
    demo["price_list"] = "retail"
    assert client.post("/v1/quotes/preview", json=demo, headers=page).status_code == 200
    assert client.post("/v1/quotes", json=demo, headers=page).status_code == 429
    assert client.get("/v1/catalogue", headers=page).status_code == 200
    assert client.post("/v1/quotes", json=demo, headers=server).status_code == 201
    assert client.get("/v1/quotes").headers["RateLimit-Policy"].startswith('"demo.reads";')


def test_where_nothing_can_be_counted_nobody_is_stopped(engine: Engine, quotes: Quotes, caplog: pytest.LogCaptureFixture) -> None:
    app = made_app(engine, quotes, rate_limits={"demo.reads": 1}, redis_url="redis://127.0.0.1:1/0")
    answers = [app.test_client().get("/v1/quotes") for _ in range(3)]
    assert [(each.status_code, "RateLimit" in each.headers) for each in answers] == [(200, False)] * 3
    assert caplog.text.count("cannot be counted") == 1


def test_the_file_lies_beside_the_database_or_where_only_this_user_reads(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    assert side_file(f"sqlite:///{tmp_path}/q.sqlite3") == tmp_path / "q.sqlite3-limits"
    found = side_file("postgresql+psycopg://u@h/q")
    assert found != side_file("postgresql+psycopg://u@h/other")
    assert stat.S_IMODE(found.parent.stat().st_mode) == 0o700
    found.parent.chmod(0o777)
    with pytest.raises(PermissionError):
        side_file("postgresql+psycopg://u@h/q")


def test_limits_are_set_by_name() -> None:
    assert read_limits("publishable.quotes=60, secret.plans=7") == {"publishable.quotes": 60, "secret.plans": 7}
    by_kind = USUAL.keys() - {WRONG_ADDRESSES, WRONG_KEYS}
    assert {name.split(".")[0] for name in by_kind} == set(Kind)
    assert {name.split(".")[1] for name in by_kind} == set(RATES)
    for wrong in ("quotes=60", "secret.quotes", "secret.quotes=0", "secret.quotes=-1", "secret.quotes=many", ","):
        with pytest.raises(SettingsError, match=re.escape("publishable.quotes=60")):
            read_settings({"SERVICE_RATE_LIMITS": wrong})


def test_a_url_that_is_no_redis_is_refused_at_the_start(engine: Engine, quotes: Quotes) -> None:
    with pytest.raises(SettingsError, match="SERVICE_REDIS_URL"):
        made_app(engine, quotes, redis_url="http://127.0.0.1")
    assert Settings().redis_url is None

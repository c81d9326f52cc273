"""Batches under kill -9, the large run by hand: `python tests/benchmarks/batch_kills.py [boats] [runs] [harms a run] [kinds...]`. Not a test, it only prints.

Each run quotes the boats (one assembly each) on a site of its own with two workers, and harms it so often at random shares of the work, from a fixed
seed. On PostgreSQL the site is a server and two machines, with a Redis and a database of its own. `lost`, `doubled`, `failed` and `gaps` must be 0.
"""

from __future__ import annotations

import random
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

from sqlalchemy import create_engine, text

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
from tests.batches.own_servers import OwnRedis, own_redis  # noqa: E402
from tests.batches.under_fire import Came, Harm, Site, cut_the_connections, kill_a_machine, kill_all, kill_one, kill_the_master, through  # noqa: E402
from tests.service.conftest import POSTGRES  # noqa: E402
from tests.service.test_kills import emptied  # noqa: E402

ASSEMBLIES = 1
KINDS = {
    "sqlite": ("a worker", "all workers", "the one command"),
    "postgresql": ("a worker", "all workers", "a machine", "redis", "connections"),
}


def harm_of(kind: str, redis: OwnRedis | None) -> Harm:
    def kill_redis(_: Site) -> None:
        assert redis is not None
        redis.kill()
        time.sleep(0.5)
        redis.start()

    harms: dict[str, Harm] = {
        "a worker": kill_one, "all workers": kill_all, "the one command": kill_the_master, "a machine": kill_a_machine, "redis": kill_redis,
        "connections": cut_the_connections,
    }  # fmt: skip
    return harms[kind]


@contextmanager
def own_database() -> Iterator[str]:
    name, admin = f"quotes_kills_{random.randrange(10**9)}", create_engine(POSTGRES, isolation_level="AUTOCOMMIT")
    with admin.connect() as connection:
        connection.execute(text(f"CREATE DATABASE {name}"))
    try:
        yield POSTGRES.rsplit("/", 1)[0] + f"/{name}"
    finally:
        with admin.connect() as connection:
            connection.execute(text(f"DROP DATABASE {name} WITH (FORCE)"))
        admin.dispose()


def one_run(database: str, kind: str, boats: int, shares: list[float]) -> Came:
    with ExitStack() as closing:
        folder = Path(closing.enter_context(tempfile.TemporaryDirectory()))
        redis = None if database == "sqlite" else closing.enter_context(own_redis(folder))
        if redis is None:
            site = Site(folder, f"sqlite:///{folder}/q.sqlite3")
        else:
            site = Site(folder, emptied(closing.enter_context(own_database())), machines=2, redis=redis.url)
        harm: Callable[[Site], None] = harm_of(kind, redis)
        return through(site, boats, [(share, harm) for share in shares], patience=900, assemblies=ASSEMBLIES)


def main(boats: int = 5000, runs: int = 10, harms: int = 5, *kinds: str) -> None:
    chance = random.Random(20261125)
    print(f"{boats} boats of one assembly, {runs} runs of {harms} harms each, two workers, lease of 2 s")
    print(
        f"{'killed':16} {'database':11} {'runs':>4} {'harms':>5} {'boats':>7} {'lost':>4} {'doubled':>7} {'failed':>6} {'gaps':>4} {'s a run':>7}"
    )
    for database, each in ((database, each) for database, found in KINDS.items() for each in found):
        if kinds and f"{database}:{each.replace(' ', '-')}" not in kinds:
            continue
        came = [one_run(database, each, boats, sorted(chance.uniform(0.02, 0.95) for _ in range(harms))) for _ in range(runs)]
        lost, doubled, failed, gaps = (sum(getattr(run, name) for run in came) for name in ("lost", "doubled", "failed", "gaps"))
        harmed, seconds = sum(len(run.harmed_at) for run in came), statistics.median(run.seconds for run in came)
        total = boats * len(came)
        print(
            f"{each:16} {database:11} {len(came):4} {harmed:5} {total:7} {lost:4} {doubled:7} {failed:6} {gaps:4} {seconds:7.1f}",
            flush=True,
        )


if __name__ == "__main__":
    main(*map(int, sys.argv[1:4]), *sys.argv[4:])

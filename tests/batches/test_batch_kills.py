"""kill -9 while a fleet is quoted, of workers, machines, the bell and the database: every boat is quoted once, without a gap in the numbers, and
no process is left behind. `tests/benchmarks/batch_kills.py` is the large run by hand."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.batches.own_servers import own_postgres, own_redis
from tests.batches.under_fire import Site, cut_the_connections, kill_a_machine, kill_all, kill_one, kill_the_master, through, unharmed
from tests.service.test_kills import emptied

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="finds workers in /proc")
BOATS = 200


@pytest.mark.long
def test_on_sqlite_killed_workers_and_a_killed_master_lose_nothing_and_double_nothing(tmp_path: Path) -> None:
    site = Site(tmp_path, f"sqlite:///{tmp_path}/q.sqlite3")
    unharmed(through(site, BOATS, [(0.1, kill_one), (0.35, kill_all), (0.6, kill_the_master), (0.85, kill_all)]))


@pytest.mark.long
def test_on_many_machines_killed_workers_machines_and_redis_lose_nothing_and_double_nothing(postgres: str, tmp_path: Path) -> None:
    with own_redis(tmp_path) as redis:

        def kill_redis(_: Site) -> None:
            redis.kill()

        def redis_and_workers(site: Site) -> None:
            kill_all(site)
            redis.start()

        site = Site(tmp_path, emptied(postgres), machines=2, redis=redis.url)
        harms = [(0.05, kill_one), (0.2, kill_all), (0.35, kill_a_machine), (0.5, kill_redis), (0.65, redis_and_workers), (0.8, kill_all)]
        unharmed(through(site, BOATS, harms))


@pytest.mark.long
def test_cut_connections_to_the_database_lose_nothing_and_double_nothing(postgres: str, tmp_path: Path) -> None:
    harms = [(share, cut_the_connections) for share in (0.1, 0.3, 0.5, 0.7)]
    unharmed(through(Site(tmp_path, emptied(postgres)), BOATS, harms))


@pytest.mark.long
def test_a_database_that_crashes_and_comes_back_loses_nothing_and_doubles_nothing(tmp_path: Path) -> None:
    with own_postgres() as server:

        def crash(_: Site) -> None:
            server.crash()
            time.sleep(0.5)  # somebody is refused meanwhile
            server.start()

        unharmed(through(Site(tmp_path, emptied(server.url)), BOATS, [(0.2, crash), (0.6, crash)]))


@pytest.mark.long
def test_without_a_server_there_is_nothing_to_work_on_and_it_is_said(tmp_path: Path) -> None:
    environment = {"SERVICE_DATABASE_URL": f"sqlite:///{tmp_path}/none.sqlite3", "PYTHONPATH": str(Path(__file__).parents[2])}
    done = subprocess.run(
        [sys.executable, "-m", "service", "work"], cwd=tmp_path, env=environment, capture_output=True, text=True, check=False, timeout=180
    )
    assert done.returncode == 2
    assert "service migrate" in done.stderr

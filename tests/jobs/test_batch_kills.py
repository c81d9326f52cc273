"""kill -9 while a fleet is quoted: every boat is quoted once, without a gap in the numbers, and nobody is left behind."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tests.jobs.under_fire import Site, kill_a_machine, kill_all, kill_one, kill_the_master, own_redis, through
from tests.service.test_kills import emptied

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="finds workers in /proc")
BOATS = 200


def test_on_sqlite_killed_workers_and_a_killed_master_lose_nothing_and_double_nothing(tmp_path: Path) -> None:
    site = Site(tmp_path, f"sqlite:///{tmp_path}/q.sqlite3")
    through(site, BOATS, [(0.1, kill_one), (0.35, kill_all), (0.6, kill_the_master), (0.85, kill_all)])


def test_on_many_machines_killed_workers_machines_and_redis_lose_nothing_and_double_nothing(postgres: str, tmp_path: Path) -> None:
    with own_redis(tmp_path) as (redis, running):

        def kill_redis(_: Site) -> None:
            running.kill()
            running.wait()

        site = Site(tmp_path, emptied(postgres), machines=2, redis=redis)
        through(site, BOATS, [(0.05, kill_one), (0.25, kill_all), (0.45, kill_a_machine), (0.65, kill_redis), (0.8, kill_all)])


def test_without_a_server_there_is_nothing_to_work_on_and_it_is_said(tmp_path: Path) -> None:
    environment = {"SERVICE_DATABASE_URL": f"sqlite:///{tmp_path}/none.sqlite3", "PYTHONPATH": str(Path(__file__).parents[2])}
    done = subprocess.run(
        [sys.executable, "-m", "service", "work"], cwd=tmp_path, env=environment, capture_output=True, text=True, check=False, timeout=60
    )
    assert done.returncode == 2
    assert "service migrate" in done.stderr

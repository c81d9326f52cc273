"""A Redis and a PostgreSQL private to a test, so that it may kill them; the test is skipped if the programs are missing."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.service.test_server import free_port

_PLACES = "/usr/lib/postgresql"


def _program(name: str) -> str:
    newest = max(Path(_PLACES).glob(f"*/bin/{name}"), default=None)
    found = newest or shutil.which(name)
    if found is None:
        if os.environ.get("TEST_SERVICES_REQUIRED"):
            pytest.fail(f"no {name} is installed")
        # kill tests need a server of their own; a newcomer without one skips them, .ci/run installs it, and then it is a failure
        pytest.skip(f"no {name} is installed")
    return str(found)


class OwnRedis:
    """Keeps nothing on the disk: what it held is gone with it."""

    def __init__(self, folder: Path) -> None:
        self._program, self._folder, self._port = _program("redis-server"), folder, free_port()
        self.url = f"redis://127.0.0.1:{self._port}/0"
        self._running: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        arguments = ["--port", str(self._port), "--bind", "127.0.0.1", "--save", "", "--appendonly", "no", "--dir", str(self._folder)]
        self._running = subprocess.Popen([self._program, *arguments], stdout=subprocess.DEVNULL)

    def kill(self) -> None:
        if self._running is not None:
            self._running.kill()
            self._running.wait()
            self._running = None


@contextmanager
def own_redis(folder: Path) -> Iterator[OwnRedis]:
    found = OwnRedis(folder)
    found.start()
    try:
        yield found
    finally:
        found.kill()


class OwnPostgres:
    """A cluster in a folder; it keeps what was committed through `crash`."""

    def __init__(self, folder: Path) -> None:
        self._folder, self._port, self._bin = folder, free_port(), Path(_program("initdb")).parent
        self._as = ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []  # it refuses to run as root
        self.url = f"postgresql+psycopg://postgres@127.0.0.1:{self._port}/postgres"

    def _run(self, program: str, *arguments: str) -> None:
        command = [*self._as, str(self._bin / program), "-D", str(self._folder / "data"), *arguments]
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL, cwd="/")

    def make(self) -> None:
        if self._as:
            shutil.chown(self._folder, "postgres")
        self._run("initdb", "-A", "trust", "-U", "postgres", "--no-sync")

    def start(self) -> None:
        options = f"-p {self._port} -k {self._folder} -c listen_addresses=127.0.0.1"
        self._run("pg_ctl", "-o", options, "-l", str(self._folder / "log"), "-w", "start")

    def crash(self) -> None:
        """Every process of it ends at once, as by a power cut."""
        self._run("pg_ctl", "-m", "immediate", "-w", "stop")

    def restart(self, after_seconds: float = 0.0) -> None:
        self.crash()
        time.sleep(after_seconds)
        self.start()


@contextmanager
def own_postgres() -> Iterator[OwnPostgres]:
    with tempfile.TemporaryDirectory(prefix="pg-", dir="/tmp") as place:  # a socket's path must be short
        found = OwnPostgres(Path(place))
        found.make()
        found.start()
        try:
            yield found
        finally:
            found.crash()

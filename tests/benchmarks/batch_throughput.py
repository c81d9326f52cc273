"""A batch beside the engine alone, on the same boats in the same run: `python tests/benchmarks/batch_throughput.py [boats] [rounds] [assemblies] [URL]`.

    python tests/benchmarks/batch_throughput.py memory [boats...]

Not a test, it only prints. Each round takes, one after the other: the engine in one process over the boats, from JSON to the quote with its cutting plan,
nothing stored; the same in two processes at once, which is all that two cores can do; a batch on one worker; a batch on two. Ratios are medians over the rounds; "cpu" is the workers' processor time a boat (Linux), which
other work on the machine disturbs less. URL: an empty PostgreSQL database instead of a SQLite file. `memory` prints the peak resident memory of the
server's workers and of the workers of batches, of boats of one assembly: each size on a server of its own, received, quoted and read back. Each
hundredth of its lines is broken, and exactly those must come back as failed.
"""

from __future__ import annotations

import http.client
import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
from service.demo import demo_names, demo_request  # noqa: E402
from tests.batches.under_fire import Site, children_of, crew_of, fleet  # noqa: E402
from tests.service.test_kills import emptied  # noqa: E402
from tests.service.test_server import KEY, call  # noqa: E402

SERIAL = """
import os, sys, time
from datetime import date
from pathlib import Path
from pricing.document import written
from service.encoding import json
from service.http.bodies import decoded
from service.engine.engine import open_engine
from service.schemas import read_request
from service.settings import Settings
engine = open_engine(Settings(today=date(2026, 11, 25)))
bodies = [json.write({name: each for name, each in json.read(line).items() if name != "custom_id"})
          for line in Path(sys.argv[1]).read_bytes().splitlines()]
def over(some):
    for body in some:
        written(engine.quote(read_request(decoded(body), engine.known_price_lists())))
os.nice(5)  # as the workers of batches do
over(bodies[:50])
began, used = time.monotonic(), time.process_time()
over(bodies)
print(time.monotonic() - began, time.process_time() - used)
"""
TICKS = os.sysconf("SC_CLK_TCK")


def serial(file: Path) -> tuple[float, float]:
    """Seconds, and processor seconds."""
    said = subprocess.run(
        [sys.executable, "-c", SERIAL, str(file)], capture_output=True, text=True, check=True, env={**os.environ, "PYTHONPATH": str(ROOT)}
    )
    wall, used = said.stdout.split()
    return float(wall), float(used)


def two_at_once(file: Path) -> tuple[float, float]:
    """Seconds until both have done all boats, and processor seconds of one."""
    with ThreadPoolExecutor(2) as pool:
        came = list(pool.map(serial, [file, file]))
    return max(wall for wall, _ in came), max(used for _, used in came)


def cpu(processes: list[int]) -> float:
    fields = [Path(f"/proc/{each}/stat").read_text(encoding="ascii").rpartition(") ")[2].split() for each in processes]
    return sum(int(each[11]) + int(each[12]) for each in fields) / TICKS


def whole_crew(site: Site) -> list[int]:
    """The workers of batches, once all of them are there."""
    while len(crew := crew_of(site.server.pid)) < int(site.settings["SERVICE_BATCH_WORKERS"]):
        time.sleep(0.05)
    time.sleep(1)  # they open their database
    return crew


def peak_mb(processes: list[int]) -> int:
    """The highest resident memory of any of them so far."""
    said = [Path(f"/proc/{each}/status").read_text(encoding="ascii") for each in processes]
    return max(int(line.split()[1]) for each in said for line in each.splitlines() if line.startswith("VmHWM")) // 1024


def send(site: Site, file: Path) -> dict[str, Any]:
    """Post the file as a stream; the batch."""
    connection = http.client.HTTPConnection("127.0.0.1", site.port, timeout=900)
    headers = {"Authorization": f"Bearer {KEY}", "Content-Type": "application/x-ndjson", "Content-Length": str(file.stat().st_size)}
    with file.open("rb") as body:
        connection.request("POST", "/v1/batches", body, headers)
    answer = connection.getresponse()
    made: dict[str, Any] = json.loads(answer.read())
    connection.close()
    assert answer.status == 202, made
    return made


def ended(site: Site, made: dict[str, Any], failed: int = 0) -> dict[str, Any]:
    while (now := json.loads(call(site.port, "GET", made["href"])[2]))["status"] != "completed":
        time.sleep(0.2)  # to look costs the cores that are measured
    assert (now["succeeded"], now["failed"]) == (made["total"] - failed, failed), now
    return now


def batch(site: Site, file: Path) -> tuple[float, float, float]:
    """Seconds from the first byte sent to the last boat quoted, boats a second once it is received, processor seconds of the workers."""
    crew = whole_crew(site)
    used, began = cpu(crew), time.monotonic()
    now = ended(site, send(site, file))
    return time.monotonic() - began, now["rate"], cpu(crew) - used


def throughput(boats: int, rounds: int, assemblies: int, url: str) -> None:
    with tempfile.TemporaryDirectory() as place:
        file = Path(place) / "fleet.ndjson"
        file.write_bytes(fleet(boats, assemblies))
        warm = Path(place) / "warm.ndjson"  # each worker has loaded and remembered what it needs, and so has the engine alone
        warm.write_bytes(fleet(100, assemblies))
        sites = []
        for size in (1, 2):
            folder = Path(place) / str(size)
            folder.mkdir()
            sites.append(Site(folder, emptied(url) if url else f"sqlite:///{folder}/q.sqlite3", workers=size))
        took: dict[str, list[tuple[float, float, float]]] = {"serial": [], "both": [], "one": [], "two": []}
        for _ in range(rounds):
            wall, used = serial(file)
            took["serial"].append((wall, boats / wall, used))
            wall, used = two_at_once(file)
            took["both"].append((wall / 2, 2 * boats / wall, used))
            for name, site in zip(("one", "two"), sites, strict=True):
                site.start()
                whole_crew(site)
                batch(site, warm)
                took[name].append(batch(site, file))
                site.stop()
            print(f"  load {os.getloadavg()[0]:.1f}:", {name: round(each[-1][1], 1) for name, each in took.items()}, flush=True)
    print(f"{boats} boats of {assemblies} assemblies, {rounds} rounds, {'PostgreSQL' if url else 'SQLite'}, {os.cpu_count()} cores")
    print(f"{'':16}{'boats/s':>8}{'x serial':>10}{'x serial, with receiving':>26}{'cpu ms a boat':>15}{'x serial':>10}")
    for name, each in took.items():
        working = statistics.median(mine[1] / alone[1] for mine, alone in zip(each, took["serial"], strict=True))
        whole = statistics.median(alone[0] / mine[0] for mine, alone in zip(each, took["serial"], strict=True))
        used = statistics.median(mine[2] for mine in each) / boats * 1000
        more = statistics.median(mine[2] / alone[2] for mine, alone in zip(each, took["serial"], strict=True))
        print(f"{name:16}{statistics.median(mine[1] for mine in each):8.1f}{working:10.2f}{whole:26.2f}{used:15.2f}{more:10.2f}")


def memory(sizes: list[int]) -> None:
    print(
        f"{'boats':>8}{'body MB':>9}{'received s':>12}{'quoted s':>10}{'read back s':>13}  peak MB: {'start':>6}{'server':>8}{'workers of batches':>20}"
    )
    for boats in sizes:
        with tempfile.TemporaryDirectory() as place:
            folder = Path(place)
            file = folder / "fleet.ndjson"
            broken = write_fleet(file, boats)
            site = Site(folder, f"sqlite:///{folder}/q.sqlite3", workers=2)
            site.start()
            crew = whole_crew(site)
            workers = [each for each in children_of(site.server.pid) if each not in crew]
            first, began = peak_mb([*workers, *crew]), time.monotonic()
            made = send(site, file)
            received = time.monotonic()
            now = ended(site, made, len(broken))
            done = time.monotonic()
            assert failed_lines(site, now["results"]) == broken
            size = sum(
                read_back(site, f"{now['results']}?{query}") for query in ("quotes=heads", "quotes=whole", "format=csv", "format=xlsx")
            )
            print(
                f"{boats:8}{file.stat().st_size / 1e6:9.1f}{received - began:12.1f}{done - received:10.1f}{time.monotonic() - done:13.1f}"
                f"           {first:6}{peak_mb(workers):8}{peak_mb(crew):20}   ({size / 1e6:.0f} MB read back)",
                flush=True,
            )
            site.stop()


def write_fleet(file: Path, boats: int) -> list[int]:
    """Numbers of the lines that are broken, in one of four ways."""
    asked = json.loads(demo_request(demo_names()[0]))
    asked["assemblies"] = asked["assemblies"][:1]
    first = asked["assemblies"][0]
    unread = {**first, "measurement": {**first["measurement"], "readings": ["11 16 in"]}}
    ways = [{"assemblies": []}, {"assemblies": [unread]}, {"boat": 17}]
    broken = []
    with file.open("w", encoding="utf-8") as out:
        for number in range(boats):
            line = {**asked, "custom_id": f"HULL-{number:06d}"}
            if number % 100 == 57:
                broken.append(number + 1)
                way = number // 100 % 4
                out.write(json.dumps({**line, **ways[way]}) + "\n" if way < 3 else '{"custom_id": "cut of\n')
            else:
                out.write(json.dumps(line) + "\n")
    return broken


def failed_lines(site: Site, path: str) -> list[int]:
    """Numbers of the lines that came back as failed, in their order."""
    connection = http.client.HTTPConnection("127.0.0.1", site.port, timeout=900)
    connection.request("GET", f"{path}?quotes=heads", headers={"Authorization": f"Bearer {KEY}"})
    found = [line["line_number"] for line in map(json.loads, connection.getresponse()) if line["outcome"] == "failed"]
    connection.close()
    return found


def read_back(site: Site, path: str) -> int:
    """How many bytes it has."""
    connection = http.client.HTTPConnection("127.0.0.1", site.port, timeout=900)
    connection.request("GET", path, headers={"Authorization": f"Bearer {KEY}"})
    answer, size = connection.getresponse(), 0
    assert answer.status == 200
    while block := answer.read(65_536):
        size += len(block)
    connection.close()
    return size


if __name__ == "__main__":
    if sys.argv[1:2] == ["memory"]:
        memory([int(each) for each in sys.argv[2:]] or [1_000, 10_000, 100_000])
    else:
        numbers = [int(each) for each in sys.argv[1:4]]
        throughput(*(numbers + [600, 5, 12][len(numbers) :]), sys.argv[4] if len(sys.argv) > 4 else "")  # type: ignore[arg-type]

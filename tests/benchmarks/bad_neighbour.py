"""One client sends slow requests while others preview quotes: `python tests/benchmarks/bad_neighbour.py [seconds] [folder of another release]...`. No
test: nothing passes or fails.

A server of the service on loopback. A calm client previews the demo boat over one connection, one after the other; its median and 99th percentile are
measured in quiet and while each attack runs, in turns, and told as ratios to the quiet median measured just before, of several rounds the middle one. The
attackers' requests are made here, invented, and hostile: no shop has such. What became of them is counted by status.

Servers of other releases, whose source lies in the folders named, are measured in the same rounds. First, one request after the other to each of them:
how long the ordinary way takes, as ratios to the other release's.
"""

from __future__ import annotations

import http.client
import io
import json
import multiprocessing
import os
import signal
import statistics
import subprocess
import sys
import tempfile
import threading
import time
import zipfile
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from random import Random
from typing import Any, NamedTuple

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
from service.demo import demo_names, demo_request  # noqa: E402
from tests.benchmarks.http_floor import KEY, KEYED, call, free_port, ready  # noqa: E402

ROUNDS, PAIRS = 3, 60
JSON, XLSX = "application/json", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"


class Attack(NamedTuple):
    """So many threads that send this over and over."""

    name: str
    threads: int
    method: str
    path: str
    media: str
    body: bytes | None


def ends(count: int, quantity: int, shortest: int, longest: int) -> bytes:
    """Previews of one wire that is bought for the job."""
    rng = Random(count)
    wire = {"construction": "1x19", "material": "316", "diameter": "12 mm"}
    sides = {side: {"terminal": name, "attachment": "swage"} for side, name in (("upper", "fork"), ("lower", "eye"))}
    read = [{"readings": [f"{rng.randint(shortest, longest) / 10} mm"], "support": "flat", "rig_setting": "everyday"} for _ in range(count)]
    made = [
        {"tag": f"T{n}", "role": "cap_shroud", "wire": wire, **sides, "quantity": quantity, "measurement": each}
        for n, each in enumerate(read)
    ]
    return json.dumps({"assemblies": made}).encode()


def plan() -> bytes:
    """A cutting plan of few wires on very many kinds of offcuts."""
    rng = Random(38)
    stock = [
        {"id": f"s{n}", "kind": "offcut", "length": f"{rng.randint(20_000, 990_000)} mm", "price_per_metre": f"{rng.randint(100, 4000) / 100:.2f}", "count": 3}
        for n in range(280)
    ]  # fmt: skip
    pieces = [{"length": f"{rng.randint(20_000, 490_000)} mm", "quantity": 1} for _ in range(16)]
    wire = {"construction": "1x19", "material": "316", "diameter": "5 mm"}
    return json.dumps({"wire": wire, "pieces": pieces, "stock": stock}).encode()


def workbook(rows: str = "", styles: str = "") -> bytes:
    """A workbook with a sheet of these rows."""
    head = '<row r="1"><c r="A1" t="inlineStr"><is><t>assembly</t></is></c></row>'
    written = io.BytesIO()
    with zipfile.ZipFile(written, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as file:
        file.writestr("[Content_Types].xml", "<Types/>")
        file.writestr("xl/styles.xml", f'<styleSheet xmlns="{MAIN}"><cellXfs>{styles}</cellXfs></styleSheet>')
        file.writestr("xl/worksheets/sheet1.xml", f'<worksheet xmlns="{MAIN}"><sheetData>{head}{rows}</sheetData></worksheet>')
    return written.getvalue()


def attacks(pdf: str) -> Iterator[Attack]:
    """What is tried, one after the other."""
    yield Attack("200 ends on one wire", 4, "POST", "/v1/quotes/preview", JSON, ends(200, 9, 20_000, 900_000))
    yield Attack("60 long ends", 4, "POST", "/v1/quotes/preview", JSON, ends(60, 1, 20_000, 900_000))
    yield Attack("cutting plans", 8, "POST", "/v1/cutting-plans", JSON, plan())
    last = "".join(f'<row r="{n}"><c r="XFD{n}"/></row>' for n in range(2, 20_000))
    for name, body in (
        ("a row numbered 10^15", workbook('<row r="1000000000000000"><c/></row>')),
        ("a million formats", workbook(styles="<xf/>" * 1_000_000)),
        ("cells in the last column", workbook(last)),
    ):
        yield Attack(f"workbooks: {name}", 4, "POST", "/v1/measuring-sheet", XLSX, body)
    yield Attack("110 who ask for one PDF", 110, "GET", pdf, "", None)


def taken_by(port: int, seconds: float, body: bytes) -> list[float]:
    """Milliseconds of each preview of a client that sends one after the other."""
    connection, found = http.client.HTTPConnection("127.0.0.1", port, timeout=120), []
    until = time.monotonic() + seconds
    while time.monotonic() < until or len(found) < 3:
        began = time.perf_counter()
        connection.request("POST", "/v1/quotes/preview", body, {**KEYED, "Content-Type": JSON})
        answer = connection.getresponse()
        answer.read()
        if answer.status == 200:
            found.append((time.perf_counter() - began) * 1000)
    connection.close()
    return found


def sends(port: int, attack: Attack, over: Any, told_to: Any) -> None:
    """What the attacker's process does until it is over; each of its threads rests for a twentieth of a second between two requests, and as
    long as it is told to where it is sent away."""
    told: Counter[int | str] = Counter()

    def send() -> None:
        while not over.wait(0.05):
            try:
                connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
                connection.request(
                    attack.method, attack.path, attack.body, {**KEYED, **({"Content-Type": attack.media} if attack.body else {})}
                )
                status = connection.getresponse().status
                told[status] += 1
                connection.close()
                over.wait(2 if status == 503 else 0)  # as its Retry-After says
            except OSError as error:
                told[type(error).__name__] += 1

    threads = [threading.Thread(target=send, daemon=True) for _ in range(attack.threads)]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    told_to.put(told)


@contextmanager
def attacked(port: int, attack: Attack) -> Iterator[Counter[int | str]]:
    """While its threads send, in a process beside this one."""
    over, told_to = multiprocessing.Event(), multiprocessing.Queue()
    attacker = multiprocessing.Process(target=sends, args=(port, attack, over, told_to))
    attacker.start()
    time.sleep(1)
    told: Counter[int | str] = Counter()
    yield told
    over.set()
    told.update(told_to.get(timeout=120))
    attacker.join()


@contextmanager
def served(folder: str, tree: Path) -> Iterator[int]:
    """A server with a database of its own, of the source in that tree."""
    port = free_port()
    told = {"SERVICE_PORT": str(port), "SERVICE_DEMO_KEY": KEY, "SERVICE_DATABASE_URL": f"sqlite:///{folder}/quotes-{port}.sqlite3"}
    environment = {**os.environ, "PYTHONPATH": str(tree), **told}
    server = subprocess.Popen(
        [sys.executable, "-m", "service"], env=environment, cwd=tree, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )
    try:
        ready(port, "/readyz")
        yield port
    finally:
        server.send_signal(signal.SIGTERM)
        server.wait(60)


def percentile(found: list[float]) -> float:
    """The 99th."""
    return sorted(found)[min(len(found) - 1, int(len(found) * 0.99))]


class Round(NamedTuple):
    """Milliseconds in quiet and beside an attack: medians, and the 99th percentile; how many previews that was."""

    quiet: float
    median: float
    late: float
    count: int

    @property
    def ratio(self) -> float:
        return self.median / self.quiet


def one_round(port: int, attack: Attack, seconds: float, body: bytes) -> tuple[Round, Counter[int | str]]:
    quiet = taken_by(port, seconds, body)
    with attacked(port, attack) as statuses:
        found = taken_by(port, seconds, body)
    time.sleep(1)
    return Round(statistics.median(quiet), statistics.median(found), percentile(found), len(found)), statuses


def told(name: str, rounds: list[Round], statuses: Counter[int | str]) -> str:
    """A line of the table, of the middle round by its ratio."""
    each = sorted(rounds, key=lambda one: one.ratio)[len(rounds) // 2]
    ratios = " ".join(f"{one.ratio:.1f}" for one in rounds)
    return f"{name:48}{each.quiet:9.1f}{each.median:9.1f}{each.ratio:7.1f}{each.late:9.1f}{each.late / each.quiet:7.1f}  {each.count:5}  ({ratios})  {dict(statuses)}"


def ordinary(ports: dict[str, int], body: bytes, say: Callable[[str], Any]) -> None:
    """A preview and a quote of a boat at each server, one after the other; ratios to the last of them."""
    for path in ("/v1/quotes/preview", "/v1/quotes"):
        taken: dict[str, list[float]] = {name: [] for name in ports}
        for _ in range(PAIRS):
            for name, port in ports.items():
                began = time.perf_counter()
                call(port, "POST", path, body)
                taken[name].append((time.perf_counter() - began) * 1000)
        *_, last = taken.values()
        for name, each in taken.items():
            ratio = statistics.median(one / other for one, other in zip(each, last, strict=True))
            say(f"{path:24}{name:24}{statistics.median(each):9.1f} ms{min(each):9.1f} at least{ratio:7.2f}{min(each) / min(last):7.2f}")


def main(seconds: float, trees: list[Path], say: Callable[[str], Any] = print) -> None:
    """Measure and tell."""
    body = demo_request(demo_names()[0])
    with tempfile.TemporaryDirectory() as folder, ExitStack() as stack:
        ports = {tree.name: stack.enter_context(served(folder, tree)) for tree in trees}
        pdf = {}
        for name, port in ports.items():
            pdf[name] = f"/v1/quotes/{json.loads(call(port, 'POST', '/v1/quotes', body)[1])['id']}?format=pdf"
            taken_by(port, 1, body)
        ordinary(ports, body, say)
        say(f"{'':48}{'quiet':>9}{'median':>9}{'ratio':>7}{'p99':>9}{'ratio':>7}  count  what the attack got")
        for numbered in range(len(list(attacks("")))):
            rounds: dict[str, list[Round]] = {name: [] for name in ports}
            statuses: dict[str, Counter[int | str]] = {name: Counter() for name in ports}
            for _ in range(ROUNDS):
                for name, port in ports.items():
                    attack = list(attacks(pdf[name]))[numbered]
                    found, got = one_round(port, attack, seconds, body)
                    rounds[name].append(found)
                    statuses[name] += got
            for name in ports:
                say(told(f"{attack.name}, {name}", rounds[name], statuses[name]))


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 3.0, [ROOT, *map(Path, sys.argv[2:])])

"""Computing in separate processes: same results as here, killed if it takes too much, with no other request delayed, lost or left
behind."""

from __future__ import annotations

import json
import os
import re
import signal
import socket
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from pricing.document import headed
from pricing.errors import NoPrice, RequestError
from pricing.stock.pieces import QuoteToPlan
from pricing.stock.plan_order import PlanOrder
from service.computing import tasks
from service.computing.budget import Budget, Lane, Reason, budgets, problem
from service.computing.hatch import Hatch
from service.computing.keeper import Keeper
from service.computing.message import Task, packed, unpacked
from service.computing.pool import Apart, ComputingFailed, Here
from service.computing.weight import MOST_FOR_THE_JOB, MOST_USUAL, SMALL_BODY, SMALL_DOCUMENT, is_heavy, is_heavy_to_set
from service.credentials.keys import Kind
from service.demo import demo_names, demo_request
from service.engine.engine import Engine, open_engine
from service.formats.summary import summary
from service.http.problems import Problem, fault
from service.schemas import read_request
from service.settings import Settings
from service.storage import Quotes
from tests.service.conftest import DAY, made_app
from tests.service.holders import kept_key
from tests.service.steps import settled
from tests.service.test_price_budget import request_of

pytestmark = [
    pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="what a process has used is told by Linux"),
    pytest.mark.filterwarnings("ignore:This process .* is multi-threaded, use of fork:DeprecationWarning"),
]
LONG = Budget(seconds=60, wall=120, mb=300, wait=60)
PROCESSES = 2


# What is computed: each is told to a process by its name.


def told(engine: Engine, value: object) -> object:
    return value


def who(engine: Engine) -> int:
    return os.getpid()


def endless(engine: Engine, begun: str = "") -> None:
    if begun:
        Path(begun).write_text(str(os.getpid()))
    while True:
        pass


def endless_in_a_library(engine: Engine) -> None:
    """No signal of the interpreter is heard there, and no other thread of it runs."""
    re.match("(a|aa)+b", "a" * 200)


def asleep(engine: Engine) -> None:
    time.sleep(600)


def hoarding(engine: Engine, begun: str) -> int:
    Path(begun).write_text(str(os.getpid()))
    kept = []
    while True:
        kept.append(bytes(range(256)) * 4096)


def grasping(engine: Engine, begun: str) -> int:
    """No page of it is touched, so that nothing is seen from outside."""
    Path(begun).write_text(str(os.getpid()))
    return len(bytearray(4 << 30))


def keeping(engine: Engine, megabytes: int) -> int:
    """Memory that stays with the process."""
    globals()["kept"] = bytes(range(256)) * 4096 * megabytes
    return os.getpid()


def refusing(engine: Engine, error: str) -> None:
    raise {
        "problem": Problem(422, "No.", [fault("#/a", "no", "say yes")], {"Retry-After": "7"}),
        "request": RequestError([("/a", "no", "say yes")]),
        "price": NoPrice("WIRE", "2026-11-25"),
    }[error]


def broken(engine: Engine) -> None:
    raise LookupError("somebody's words")


def begun_and_told(engine: Engine, folder: str, name: int) -> int:
    """Waits until it may end."""
    (Path(folder) / f"{name}.begun").write_text(str(os.getpid()))
    while not (Path(folder) / "end").exists():
        time.sleep(0.01)
    return name


class Site:
    """Processes that compute, and how each computation ended."""

    def __init__(self, engine: Engine, processes: int) -> None:
        self.engine = engine
        self.hatches = {lane: Hatch() for lane in Lane}
        self.keeper = Keeper(self.hatches, engine, processes)
        self.keeper.keep()
        self.counted: Counter[tuple[str, str]] = Counter()

    def apart(self, budget: Budget = LONG, places: int = 30) -> Apart:
        return Apart(self.hatches, dict.fromkeys(Lane, budget), dict.fromkeys(Lane, places), lambda *each: self.counted.update([each]))

    def run(self, what: Callable[..., Any], *given: Any, budget: Budget = LONG, places: int = 30) -> Any:
        return self.apart(budget, places).run(Lane.USUAL, what, self.engine, *given)

    def refused(self, what: Callable[..., Any], *given: Any, budget: Budget = LONG) -> Problem:
        with pytest.raises(Problem) as found:
            self.run(what, *given, budget=budget)
        return found.value

    def members(self) -> list[int]:
        assert self.keeper._process is not None
        return [each for each in children_of(self.keeper._process) if running(each)]

    def end(self) -> None:
        self.keeper.end()
        for each in self.hatches.values():
            each.close()


def children_of(process: int) -> list[int]:
    with suppress(OSError):
        return [int(each) for each in Path(f"/proc/{process}/task/{process}/children").read_text(encoding="ascii").split()]
    return []


def running(process: int) -> bool:
    """Whether it still does something; one that nobody has buried yet does not."""
    with suppress(OSError):
        return Path(f"/proc/{process}/stat").read_text(encoding="ascii").rpartition(")")[2].split()[0] != "Z"
    return False


def until(seen: Callable[[], Any], what: str, seconds: float = 60.0) -> Any:
    """Wait for it; only a machine that stands still takes so long."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if found := seen():
            return found
        time.sleep(0.01)
    pytest.fail(f"not seen: {what}")


def at_work(folder: Path, many: int) -> list[Path]:
    """What so many computations have left who have begun; nothing as long as they are fewer."""
    found = [each for each in folder.glob("*.begun") if each.read_text()]
    return found if len(found) == many else []


@pytest.fixture(scope="module")
def whole_site(engine: Engine) -> Iterator[Site]:
    site = Site(engine, PROCESSES)
    yield site
    site.end()


@pytest.fixture
def site(whole_site: Site) -> Iterator[Site]:
    """As many processes as there are to be before each test, and after it."""
    whole_site.counted.clear()
    until(lambda: len(whole_site.members()) == PROCESSES * len(Lane), "all processes")
    yield whole_site
    until(lambda: len(whole_site.members()) == PROCESSES * len(Lane), "all processes again")


def test_what_is_computed_apart_is_what_is_computed_here(site: Site, engine: Engine) -> None:
    asked = read_request(json.loads(demo_request(demo_names()[0])), engine.known_price_lists())
    plan = (QuoteToPlan.of(headed(engine.quote(asked), "A", "Q-2026-000001", 1)), engine.catalogue.stock)
    tried = ((tasks.previewed, (asked, None)), (tasks.document, (asked, summary)), (tasks.quoted, (asked,)), (tasks.of_quote, plan))
    for what, given in tried:
        assert site.run(what, *given) == Here().run(Lane.USUAL, what, engine, *given)
    assert site.counted == {(Lane.USUAL, "done"): len(tried)}


def test_refusals_come_back_whole(site: Site) -> None:
    problem = site.refused(refusing, "problem")
    assert (problem.status, problem.detail, problem.faults) == (422, "No.", [fault("#/a", "no", "say yes")])
    assert (problem.headers, str(problem)) == ({"Retry-After": "7"}, "No.")
    with pytest.raises(RequestError, match="say yes") as refused:
        site.run(refusing, "request")
    assert refused.value.faults == (("/a", "no", "say yes"),)
    with pytest.raises(NoPrice) as unpriced:
        site.run(refusing, "price")
    assert str(unpriced.value) == str(NoPrice("WIRE", "2026-11-25"))


def test_a_failure_of_the_programs_own_is_told_without_words(site: Site) -> None:
    with pytest.raises(ComputingFailed) as found:
        site.run(broken)
    assert "somebody" not in repr(found.value)
    assert site.counted == {(Lane.USUAL, "failed"): 1}
    assert site.run(told, 1) == 1


@pytest.mark.long
@pytest.mark.parametrize("what", [endless, endless_in_a_library])
def test_what_takes_more_processor_time_than_it_may_is_ended_and_its_neighbours_are_answered(
    site: Site, what: Callable[..., Any], caplog: pytest.LogCaptureFixture
) -> None:
    with ThreadPoolExecutor(1) as pool:
        hostile = pool.submit(site.refused, what, budget=replace(LONG, seconds=1))
        answered = [site.run(told, place) for place in range(20)]
        assert not hostile.done()  # all of them were answered meanwhile
        problem = hostile.result()
    assert answered == list(range(20))
    assert (problem.status, problem.headers, problem.faults[0]["code"]) == (503, {"Retry-After": "10"}, "took_too_long")
    assert "1 seconds of processor time" in problem.detail
    assert site.counted == {(Lane.USUAL, "done"): 20, (Lane.USUAL, Reason.CLOCK): 1}
    assert [each.getMessage().partition(" after ")[0] for each in caplog.records if "computation" in each.getMessage()] == [
        f"a computation (usual, {what.__name__}) was ended"
    ]


@pytest.mark.long
def test_what_takes_longer_by_the_clock_than_it_may_is_ended(site: Site) -> None:
    assert site.refused(asleep, budget=replace(LONG, wall=0.2)).faults[0]["code"] == "took_too_long"


@pytest.mark.parametrize("seconds", [5, 20, 600])
def test_a_plan_is_ended_a_tenth_beyond_its_seconds_and_aims_below_them(engine: Engine, seconds: int) -> None:
    """As the setting says: within a tenth."""
    settings = Settings(plan_seconds=seconds)
    assert budgets(settings)[Lane.PLANS].wall == pytest.approx(1.1 * seconds)
    aim = replace(engine.planner, seconds=settings.plan_seconds)._limits(PlanOrder()).seconds
    assert aim is not None
    assert seconds / 2 < aim < seconds


def test_who_is_stopped_is_told_the_limit_that_was_exceeded() -> None:
    """Of a plan only the clock counts, 20 s and a tenth; of a quote 5 s of processor time, and four times that by the clock."""
    lanes = budgets(Settings(plan_seconds=20, computing_seconds=5))
    assert "took longer than 22 seconds, and" in problem(Reason.CLOCK, lanes[Lane.PLANS]).detail
    assert "5 seconds of processor time, or 20 seconds in all" in problem(Reason.CLOCK, lanes[Lane.USUAL]).detail


@pytest.mark.long
@pytest.mark.parametrize(("what", "killed"), [(hoarding, True), (grasping, False)])
def test_what_takes_more_memory_than_it_may_is_ended(site: Site, tmp_path: Path, what: Callable[..., Any], killed: bool) -> None:
    """Bit by bit it is seen from outside, and ended; at once the kernel refuses it, and the process goes on."""
    problem = site.refused(what, str(tmp_path / "begun"), budget=replace(LONG, mb=50))
    process = int((tmp_path / "begun").read_text())
    if killed:
        until(lambda: not running(process), "its end")
    assert running(process) is not killed
    assert (problem.status, problem.headers, problem.faults[0]["code"]) == (503, {"Retry-After": "10"}, "too_much_memory")
    assert "50 MB" in problem.detail
    assert site.counted == {(Lane.USUAL, Reason.MEMORY): 1}
    assert [site.run(told, place) for place in range(4)] == [0, 1, 2, 3]


@pytest.mark.long
def test_of_a_killed_process_its_request_alone_is_lost(site: Site, tmp_path: Path) -> None:
    """Two compute, four wait; one of the two is killed: five are answered, one is told, and another process takes its place."""
    with ThreadPoolExecutor(6) as pool:
        asked: dict[int, Future[int]] = {n: pool.submit(site.run, begun_and_told, str(tmp_path), n) for n in range(6)}
        begun = until(lambda: at_work(tmp_path, PROCESSES), "all at work")
        killed = int(begun[0].read_text())
        os.kill(killed, signal.SIGKILL)
        (tmp_path / "end").touch()
        lost = int(begun[0].stem)
        with pytest.raises(Problem) as found:
            asked.pop(lost).result(60)
        assert (found.value.status, found.value.faults[0]["code"]) == (503, "computing_ended")
        assert {n: each.result(60) for n, each in asked.items()} == {n: n for n in range(6) if n != lost}
    until(lambda: not running(killed), "its end")
    assert site.counted == {(Lane.USUAL, "done"): 5, (Lane.USUAL, Reason.GONE): 1}


@pytest.mark.long
def test_a_process_takes_no_other_task_before_who_asked_has_heard_its_answer(engine: Engine) -> None:
    """Else who is about to end it would end another's."""
    site = Site(engine, 1)
    try:
        task = packed(Task(told, engine.key, engine.today(), ("first",), LONG))
        with site.hatches[Lane.USUAL].leave(task) as asked:
            until(lambda: asked.conversation.poll(0.1), "its answer")
            assert site.refused(told, 1, budget=replace(LONG, wait=0.5)).faults[0]["code"] == "busy"
            assert unpacked(asked.conversation.recv_bytes()).value == "first"
        assert site.run(told, 1) == 1
    finally:
        site.end()


@pytest.mark.long
def test_what_a_process_took_and_did_not_begin_with_is_anothers(engine: Engine) -> None:
    site = Site(engine, 0)
    try:
        with ThreadPoolExecutor(1) as pool:
            asked = pool.submit(site.run, told, 1)
            _, taken, _, _ = socket.recv_fds(site.hatches[Lane.USUAL]._taken, 1, 2)
            for each in taken:
                os.close(each)  # as the kernel does for a process that ends
            site.keeper._processes = 1
            site.keeper.end()
            site.keeper.keep()
            assert asked.result(60) == 1
    finally:
        site.end()


def test_a_task_larger_than_a_socket_holds_arrives_whole(site: Site) -> None:
    large = os.urandom(5_000_000)
    assert site.run(told, large) == large


def test_who_finds_all_places_taken_is_sent_away_at_once(site: Site, tmp_path: Path) -> None:
    apart = site.apart(places=3)
    with ThreadPoolExecutor(3) as pool:
        asked = [pool.submit(apart.run, Lane.USUAL, begun_and_told, site.engine, str(tmp_path), n) for n in range(3)]
        until(lambda: apart._places[Lane.USUAL]._value == 0, "three that ask")
        with pytest.raises(Problem) as found:
            apart.run(Lane.USUAL, told, site.engine, 1)
        assert not any(each.done() for each in asked)
        assert (found.value.status, found.value.headers, found.value.faults[0]["code"]) == (503, {"Retry-After": "2"}, "busy")
        assert apart.run(Lane.PLANS, told, site.engine, "a plan") == "a plan"  # in a line of its own
        (tmp_path / "end").touch()
        assert [each.result(60) for each in asked] == [0, 1, 2]


def test_the_line_of_all_servers_together_is_bounded_too(site: Site, tmp_path: Path) -> None:
    """Whatever one server lets wait: the kernel keeps some ten in line, and who comes then is sent away."""
    with ThreadPoolExecutor(300) as pool:
        patient = replace(LONG, wait=120)
        asked = [pool.submit(site.run, begun_and_told, str(tmp_path), n, budget=patient, places=300) for n in range(300)]
        until(lambda: any(each.done() for each in asked), "one that was sent away")
        (tmp_path / "end").touch()
        for each in asked:
            with suppress(Problem):
                each.result(60)
    assert site.counted[Lane.USUAL, Reason.BUSY] + site.counted[Lane.USUAL, "done"] == 300
    assert site.counted[Lane.USUAL, Reason.BUSY] > 0


@pytest.mark.long
def test_who_waited_too_long_is_gone_when_it_would_be_his_turn(site: Site, tmp_path: Path) -> None:
    with ThreadPoolExecutor(PROCESSES) as pool:
        asked = [pool.submit(site.run, begun_and_told, str(tmp_path), n) for n in range(PROCESSES)]
        until(lambda: at_work(tmp_path, PROCESSES), "all at work")
        problem = site.refused(begun_and_told, str(tmp_path), 9, budget=replace(LONG, wait=0.05))
        assert (problem.status, problem.faults[0]["code"]) == (503, "busy")
        (tmp_path / "end").touch()
        assert [each.result(60) for each in asked] == list(range(PROCESSES))
    assert site.run(told, 1) == 1
    assert not (tmp_path / "9.begun").exists()


def test_other_tables_are_sent_to_a_process_that_does_not_have_them(site: Site, tmp_path: Path, engine: Engine) -> None:
    for file in Path(open_engine.__globals__["folder_of"](Settings())).glob("*.csv"):
        (tmp_path / file.name).write_bytes(file.read_bytes())
    edition = tmp_path / "edition.csv"
    edition.write_text(edition.read_text(encoding="utf-8").replace(engine.catalogue.edition.name, "Another edition"), encoding="utf-8")
    other = open_engine(Settings(catalogue=tmp_path, today=DAY))
    asked = read_request(json.loads(demo_request(demo_names()[0])), other.known_price_lists())
    assert other.key != engine.key
    for each in (other, engine, other):
        assert site.apart().run(Lane.USUAL, tasks.quoted, each, asked) == each.quote(asked)


@pytest.mark.long
def test_a_process_that_keeps_much_memory_is_replaced(site: Site) -> None:
    assert site.run(keeping, 1) in site.members()
    worn = site.run(keeping, 200)
    until(lambda: worn not in site.members(), "its end")
    assert site.run(who) != worn


@pytest.mark.long
def test_the_keeper_is_replaced_and_takes_those_it_kept_along(engine: Engine) -> None:
    site = Site(engine, 1)
    try:
        before = until(lambda: found if len(found := site.members()) == len(Lane) else None, "its processes")
        first = site.keeper._process
        assert first is not None
        os.kill(first, signal.SIGKILL)
        until(lambda: not any(map(running, [first, *before])), "their end")
        site.keeper.keep()
        assert site.keeper._process != first
        assert site.run(told, 1) == 1
    finally:
        site.end()


@pytest.mark.long
def test_those_who_compute_end_with_the_process_that_all_end_with(engine: Engine, tmp_path: Path) -> None:
    """By kill -9, in the midst of a computation."""
    site_told, begun = tmp_path / "processes", tmp_path / "begun"
    master = os.fork()
    if master == 0:
        try:
            site = Site(engine, 1)
            threading.Thread(target=lambda: site.run(endless, str(begun)), daemon=True).start()
            until(begun.exists, "a computation")
            until(lambda: len(site.members()) == len(Lane), "a process of each line")
            site_told.with_suffix(".part").write_text(json.dumps([site.keeper._process, *site.members()]))
            site_told.with_suffix(".part").rename(site_told)
            time.sleep(600)
        finally:
            os._exit(1)
    until(site_told.exists, "its processes")
    processes = json.loads(site_told.read_text())
    assert len(processes) == 1 + len(Lane)
    os.kill(master, signal.SIGKILL)
    os.waitpid(master, 0)
    until(lambda: not any(map(running, processes)), "their end")


def test_a_boat_is_computed_here_and_what_is_larger_apart(engine: Engine) -> None:
    lists = engine.known_price_lists()
    for name in demo_names():
        asked = read_request(json.loads(demo_request(name)), lists)
        assert not is_heavy(engine, asked)
    thin = {"construction": "1x19", "material": "316", "diameter": "5 mm"}
    usual = read_request({"assemblies": [{**request_of(1, 1)["assemblies"][0], "wire": thin, "quantity": MOST_USUAL}]}, lists)
    assert not is_heavy(engine, usual)
    assert is_heavy(engine, replace(usual, assemblies=(replace(usual.assemblies[0], quantity=MOST_USUAL + 1),)))
    for_the_job = read_request(request_of(MOST_FOR_THE_JOB, 1), lists)  # of 12 mm, which the demo shop buys for the job
    assert not is_heavy(engine, for_the_job)
    assert is_heavy(engine, read_request(request_of(MOST_FOR_THE_JOB + 1, 1), lists))


@pytest.mark.parametrize(("note", "heavy"), [("Straße nach Köln. " * 55, False), ("a\u0301" * 500, True)])
def test_papers_with_much_that_is_slow_to_set_are_set_apart(
    client: FlaskClient, quotes: Quotes, demo: dict[str, Any], note: str, heavy: bool
) -> None:
    """Twelve wires with notes of a thousand characters, of which each second is an accent by itself; or so much German."""
    wires = [{**demo["assemblies"][0], "tag": f"W-{each}", "note": note} for each in range(12)]
    made = client.post("/v1/quotes", json={**demo, "assemblies": wires}).json
    stored = quotes.get(made["id"])
    assert stored is not None
    assert len(stored.document) < SMALL_DOCUMENT
    assert is_heavy_to_set(stored.document, stored.body(), SMALL_DOCUMENT) is heavy


def test_a_large_quote_is_the_same_from_processes(client: FlaskClient, site: Site, engine: Engine, quotes: Quotes) -> None:
    """From body to reply, previewed and stored; and what cannot be read is refused with the same words."""
    other = made_app(engine, quotes, hatches=site.hatches).test_client()
    large = request_of(30, 1)
    long = {"data": json.dumps(large) + " " * SMALL_BODY, "content_type": "application/json"}
    for asked in ({"json": large}, long):
        assert other.post("/v1/quotes/preview", **asked).data == client.post("/v1/quotes/preview", **asked).data
    made, here = (each.post("/v1/quotes", json=large).json for each in (other, client))
    assert {**made, "id": 0, "number": 0, "checksum": 0} == {**here, "id": 0, "number": 0, "checksum": 0}
    wrong = {**request_of(200, 1), "note": 5, "customer": {"name": "x" * 40_000}}
    assert other.post("/v1/quotes/preview", json=wrong).data == client.post("/v1/quotes/preview", json=wrong).data


@pytest.mark.long
def test_large_documents_are_the_same_from_processes_or_503_where_too_many_wait(
    client: FlaskClient, site: Site, engine: Engine, quotes: Quotes
) -> None:
    app = made_app(engine, quotes, hatches=site.hatches, form_key=kept_key(quotes, Kind.PUBLISHABLE))
    other, large = app.test_client(), request_of(90, 1)
    for each in large["assemblies"]:
        each["wire"] = {**each["wire"], "diameter": "5 mm"}
    made = settled(client, client.post("/v1/quotes", json=large).json)["id"]  # what asks is in no plan
    plan = client.get(f"/v1/quotes/{made}/cutting-plan").json["id"]
    forms = [f"/v1/quotes/{made}?format={form}" for form in ("html", "csv", "ubl")]
    forms += [f"/v1/quotes/{made}/rig-sheet", f"/v1/quotes/{made}/bench-sheet", f"/v1/quotes/{made}/bench-sheet?format=html"]
    forms += [f"/v1/quotes/{made}/cutting-plan?format=svg", f"/v1/cutting-plans/{plan}?format=svg", f"/v1/cutting-plans/{plan}?format=csv"]
    forms += [f"/v1/measuring-sheet?format=csv&assemblies={MOST_USUAL + 1}"]
    for form in forms:
        assert other.get(form).data == client.get(form).data, form
    forms.append(f"/form/sheet?format=csv&assemblies={MOST_USUAL + 1}")
    assert other.get(forms[-1]).data == other.get(forms[-2]).data
    done = b'quotes_computations_total{lane="usual",outcome="done"} %d.0' % (len(forms) + 1)
    assert done in app.extensions["measures"].text()[0].splitlines()
    app.extensions["computing"]._places[Lane.USUAL] = threading.Semaphore(0)
    for form in forms:
        assert other.get(form).status_code == 503, form


def test_what_is_ended_leaves_its_key_of_idempotency_free(
    site: Site, engine: Engine, quotes: Quotes, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = made_app(engine, quotes, hatches=site.hatches)
    client, large, key = app.test_client(), request_of(30, 1), {"Idempotency-Key": "one"}
    computing = app.extensions["computing"]
    as_it_is = computing._budgets
    monkeypatch.setattr(computing, "_budgets", {lane: replace(each, wall=0.0) for lane, each in as_it_is.items()})
    refused = client.post("/v1/quotes", json=large, headers=key)
    assert (refused.status_code, refused.headers["Retry-After"], refused.json["errors"][0]["code"]) == (503, "10", "took_too_long")
    monkeypatch.setattr(computing, "_budgets", as_it_is)
    assert client.post("/v1/quotes", json=large, headers=key).status_code == 201
    assert len(quotes.page(10)) == 1
    measures = client.get("/metrics").text
    assert 'quotes_computations_total{lane="usual",outcome="clock"} 1.0' in measures

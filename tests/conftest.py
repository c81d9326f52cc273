"""Configuration for all tests: property tests are reproducible and have no deadline, since machines are noisy.

Inherently slow tests are marked `long` and skipped unless the run is thorough (`TEST_THOROUGH=1`, as `.ci/run` sets it), selects by `-m`,
or names them. A run of all tests, in one process or in several, fails unless every status that openapi.yaml lists for an operation was
returned to some test.
"""

import gc
import os
import sys
from itertools import chain, groupby, zip_longest
from random import Random

import pytest
from hypothesis import HealthCheck, settings

from tests.counts import THOROUGH, some

# Tests start many processes, and each would compile the same files again if the environment forbids writing bytecode.
sys.dont_write_bytecode = False
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

settings.register_profile(
    "reproducible", max_examples=some(100), derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("reproducible")

# What is imported and collected stays to the end; to look through it for garbage again and again takes a tenth of a run.
gc.set_threshold(50_000, 20, 20)

_reached = set()


def _here():
    """The statuses that this process's tests reached; empty if none of them checked a response."""
    contract = sys.modules.get("tests.service.contract")
    return set() if contract is None else contract.REACHED


def pytest_addoption(parser):
    parser.addoption("--shuffle", metavar="SEED", help="run files, and the tests within each, in an order made of this text")


#: Folders with slow files, slowest first, so that a parallel run does not end with one process waiting for such a file.
FIRST = (
    "tests/browser/",
    "tests/batches/",
    "tests/fuzz/",
    "tests/webhooks/",
    "tests/service/",
    "tests/documents/",
    "tests/measuring_sheet/",
)


def _taking_turns(items):
    """The items, a file that needs a browser and one that does not in turns: a browser takes more than one processor."""
    files = [[*tests] for _, tests in groupby(items, lambda each: each.path)]
    browsers = [each for each in files if each[0].nodeid.startswith(FIRST[0])]
    others = files[len(browsers) :]
    return chain.from_iterable(chain.from_iterable(filter(None, pair)) for pair in zip_longest(browsers, others))


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config, items):
    """Run slow folders first, and skip tests marked `long`."""
    items.sort(key=lambda each: next((place for place, at in enumerate(FIRST) if each.nodeid.startswith(at)), len(FIRST)))
    items[:] = _taking_turns(items)
    if config.option.shuffle is not None:
        chance = Random(config.option.shuffle)
        by_file = {file: [*tests] for file, tests in groupby(items, lambda each: each.path)}
        for tests in by_file.values():
            chance.shuffle(tests)
        items[:] = chain.from_iterable(chance.sample(list(by_file.values()), len(by_file)))
    if THOROUGH or config.option.markexpr:
        return
    named = [each for each in config.invocation_params.args if "::" in each]
    left_out = [each for each in items if each.get_closest_marker("long") and not any(each.nodeid.startswith(one) for one in named)]
    if left_out:
        config.hook.pytest_deselected(items=left_out)
        gone = set(left_out)
        items[:] = [each for each in items if each not in gone]


def pytest_collection_finish():
    gc.collect()
    gc.freeze()


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node):
    """Collect the statuses reached by a parallel worker when it ends."""
    _reached.update(tuple(each) for each in getattr(node, "workeroutput", {}).get("reached", ()))


def _whole(config):
    narrowed = config.option.keyword or config.option.markexpr or config.option.collectonly
    return config.args == config.getini("testpaths") and not narrowed


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish(session, exitstatus):
    if hasattr(session.config, "workeroutput"):
        session.config.workeroutput["reached"] = [list(each) for each in _here()]
    elif exitstatus == pytest.ExitCode.OK and _whole(session.config):
        from tests.whole import missing

        session.config.stash[_MISSING] = missing(_reached | _here())
        if session.config.stash[_MISSING]:
            session.exitstatus = pytest.ExitCode.TESTS_FAILED


_MISSING = pytest.StashKey[list]()


def pytest_terminal_summary(terminalreporter, config):
    for operation, status in config.stash.get(_MISSING, []):
        terminalreporter.write_line(f"FAILED: no test was answered {status} by {operation}, which openapi.yaml lists", red=True)

"""The pins: one version of each, hashes where promised, and an audit that does not take silence for success."""

from __future__ import annotations

import importlib.util
import json
import re
import tomllib
from datetime import date
from pathlib import Path
from types import ModuleType

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parents[1]
PINS = ROOT / ".pins"
LOCKS = ("service.txt", "ci.txt")
DAY = date(2026, 11, 29)


def pinned(name: str) -> dict[str, str]:
    lines = (PINS / name).read_text(encoding="utf-8").splitlines()
    found = [line.partition(" ")[0].partition("==") for line in lines if line and line[0] not in " #"]
    assert all(sign for _, sign, _ in found), name
    names = [canonicalize_name(each) for each, _, _ in found]
    assert len(names) == len(set(names)), name
    return dict(zip(names, (version for _, _, version in found), strict=True))


def wanted(*extras: str) -> list[Requirement]:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    optional = project["optional-dependencies"]
    return [Requirement(each) for each in [*project["dependencies"], *(line for name in extras for line in optional[name])]]


@pytest.mark.parametrize(
    ("name", "extras"),
    [
        ("constraints.txt", ("otel", "postgres", "redis", "test", "lint", "bench")),
        ("service.txt", ("otel", "postgres", "redis")),
        ("ci.txt", ("otel", "postgres", "redis", "test", "lint")),
    ],
)
def test_every_dependency_is_pinned_within_its_range(name: str, extras: tuple[str, ...]) -> None:
    pins = pinned(name)
    for each in wanted(*extras):
        version = pins.get(canonicalize_name(each.name))
        assert version is not None, f"{each.name} is not in {name}: run .pins/refresh"
        assert each.specifier.contains(version, prereleases=True), f"{each.name} {version} is not {each.specifier}: run .pins/refresh"


@pytest.mark.parametrize("name", LOCKS)
def test_what_carries_hashes_has_the_same_versions_and_a_hash_for_each(name: str) -> None:
    assert pinned(name).items() <= pinned("constraints.txt").items()
    blocks = re.split(r"\n(?=[a-z0-9])", (PINS / name).read_text(encoding="utf-8"))
    assert [each.splitlines()[0] for each in blocks if not re.search(r"--hash=sha256:[0-9a-f]{64}\b", each)] == []


def test_a_server_is_made_of_what_was_checked_and_container_and_checks_ask_for_the_hashes() -> None:
    assert pinned("service.txt").items() <= pinned("ci.txt").items()
    assert "--require-hashes --requirement .pins/service.txt" in (ROOT / "Dockerfile").read_text(encoding="utf-8")
    assert "--require-hashes -r .pins/ci.txt" in (ROOT / ".ci" / "run").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def audit() -> ModuleType:
    found = importlib.util.spec_from_file_location("audit", ROOT / ".ci" / "audit.py")
    assert found is not None
    assert found.loader is not None
    module = importlib.util.module_from_spec(found)
    found.loader.exec_module(module)
    return module


def audit_report(*dependencies: dict[str, object]) -> str:
    return json.dumps({"dependencies": dependencies, "fixes": []})


SAFE = {"name": "flask", "version": "3.1.3", "vulns": []}
SKIPPED = {"name": "jinja2", "skip_reason": "Dependency not found"}
UNSAFE = {
    "name": "jinja2",
    "version": "3.1.3",
    "vulns": [{"id": "PYSEC-1", "fix_versions": ["3.1.4"]}, {"id": "PYSEC-2", "fix_versions": []}],
}


def test_a_known_vulnerability_fails_and_says_what_mends_it(audit: ModuleType) -> None:
    found = audit.verdict(audit_report(SAFE, UNSAFE, SKIPPED), DAY, DAY)
    assert found.failed
    assert found.lines == ["jinja2 3.1.3: PYSEC-1, fixed in 3.1.4; PYSEC-2, fixed in no release yet"]


def test_only_what_was_audited_whole_is_called_so(audit: ModuleType) -> None:
    assert audit.verdict(audit_report(SAFE), DAY, DAY) == (["1 pins audited, no known vulnerability"], False)


@pytest.mark.parametrize("silence", [None, "", "Traceback", "{}", "[]", audit_report(), audit_report(SAFE, SKIPPED), audit_report(SKIPPED)])
def test_where_its_data_cannot_be_had_the_date_speaks_and_nothing_fails(audit: ModuleType, silence: str | None) -> None:
    fresh, old = audit.verdict(silence, DAY, DAY), audit.verdict(silence, DAY, date(2027, 2, 1))
    assert (fresh.failed, old.failed) == (False, False)
    assert "not available" in fresh.lines[0]
    assert not any("refresh" in line for line in fresh.lines)
    assert "64 days ago" in old.lines[1]
    assert ".pins/refresh" in old.lines[2]


def test_the_pins_say_of_which_day_they_are(audit: ModuleType) -> None:
    assert audit.pinned_on((PINS / "constraints.txt").read_text(encoding="utf-8")) >= DAY

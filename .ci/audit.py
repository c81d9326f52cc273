"""Audits the pinned dependencies with pip-audit. If its vulnerability data is not available, reports the age of the pins instead.

Fails only for a known vulnerability, not if the network is unreachable. pip-audit's "no known vulnerabilities" is ignored if it skipped packages
that it did not find.
"""

from __future__ import annotations

import json
import subprocess
import sys
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any, NamedTuple

ROOT = Path(__file__).resolve().parents[1]
PINS = ROOT / ".pins"
OLD_DAYS = 60


class Verdict(NamedTuple):
    """The lines to print, and whether the audit failed."""

    lines: list[str]
    failed: bool


def verdict(report: str | None, pinned: date, today: date) -> Verdict:
    """The verdict on pip-audit's JSON report, which is None if it wrote none. `pinned`: the day on which the pins were made."""
    try:
        dependencies: list[dict[str, Any]] = json.loads(report or "")["dependencies"]
    except (ValueError, KeyError, TypeError):
        dependencies = []
    vulnerable = [each for each in dependencies if each.get("vulns")]
    if vulnerable:
        return Verdict([_line(each) for each in vulnerable], failed=True)
    audited = [each for each in dependencies if "vulns" in each]
    if dependencies and len(audited) == len(dependencies):
        return Verdict([f"{len(audited)} pins audited, no known vulnerability"], failed=False)
    lines = [f"Only {len(audited)} of {len(dependencies) or 'the'} pins could be audited: vulnerability data is not available here."]
    age = (today - pinned).days
    lines.append(f"The pins were made on {pinned}, {max(age, 0)} days ago.")
    if age > OLD_DAYS:
        lines.append(f"That is more than {OLD_DAYS} days: run .pins/refresh where the network can be reached, then the tests.")
    return Verdict(lines, failed=False)


def _line(dependency: dict[str, Any]) -> str:
    known = "; ".join(f"{each['id']}, fixed in {' or '.join(each['fix_versions']) or 'no release yet'}" for each in dependency["vulns"])
    return f"{dependency['name']} {dependency['version']}: {known}"


def pinned_on(constraints: str) -> date:
    """The day in the first line of the constraints."""
    return date.fromisoformat(constraints.partition(":")[0].removeprefix("#").strip())


def audited(file: Path) -> str | None:
    """pip-audit's JSON report on a file of pins with hashes; None if it timed out."""
    command = [
        sys.executable,
        "-m",
        "pip_audit",
        "--require-hashes",
        "--disable-pip",
        "--progress-spinner",
        "off",
        "-f",
        "json",
        "-r",
        str(file),
    ]
    try:
        return subprocess.run(command, capture_output=True, text=True, timeout=180, check=False).stdout
    except subprocess.TimeoutExpired:
        return None


def main() -> int:
    """Audit the dependencies of the service and of its checks; returns the exit status."""
    pinned, today = pinned_on((PINS / "constraints.txt").read_text(encoding="utf-8")), datetime.now(UTC).date()
    result = verdict(audited(PINS / "ci.txt"), pinned, today)
    sys.stdout.write("\n".join(result.lines) + "\n")
    return int(result.failed)


if __name__ == "__main__":
    sys.exit(main())

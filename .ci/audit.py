"""Are the pins known to be unsafe? By pip-audit where its data can be had; else by their date, which says when somebody last looked.

Fails for a known vulnerability alone. A network that cannot be reached fails nothing, and pip-audit's own "no known vulnerabilities" is not
believed where it skipped what it did not find.
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
    """What to say, and whether it is a failure."""

    lines: list[str]
    failed: bool


def verdict(said: str | None, pinned: date, today: date) -> Verdict:
    """The verdict on pip-audit's JSON; None where it wrote none."""
    try:
        found: list[dict[str, Any]] = json.loads(said or "")["dependencies"]
    except (ValueError, KeyError, TypeError):
        found = []
    bad = [each for each in found if each.get("vulns")]
    if bad:
        return Verdict([_words(each) for each in bad], failed=True)
    audited = [each for each in found if "vulns" in each]
    if found and len(audited) == len(found):
        return Verdict([f"{len(audited)} pins audited, no known vulnerability"], failed=False)
    lines = [f"{len(audited)} of {len(found) or 'the'} pins could be audited: the data on vulnerabilities cannot be had from here."]
    age = (today - pinned).days
    lines.append(f"The pins are of {pinned}, {max(age, 0)} days old.")
    if age > OLD_DAYS:
        lines.append(f"That is more than {OLD_DAYS} days: run .pins/refresh where the network can be reached, and the tests.")
    return Verdict(lines, failed=False)


def _words(dependency: dict[str, Any]) -> str:
    known = "; ".join(f"{each['id']}, fixed in {' or '.join(each['fix_versions']) or 'no release yet'}" for each in dependency["vulns"])
    return f"{dependency['name']} {dependency['version']}: {known}"


def pinned_on(constraints: str) -> date:
    """The day in the first line of the constraints."""
    return date.fromisoformat(constraints.partition(":")[0].removeprefix("#").strip())


def audited(file: Path) -> str | None:
    """pip-audit's JSON on a file of pins with hashes; None where it did not come to an end."""
    run = [
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
        return subprocess.run(run, capture_output=True, text=True, timeout=180, check=False).stdout
    except subprocess.TimeoutExpired:
        return None


def main() -> int:
    """Audit what a server is made of and what checks it."""
    pinned, today = pinned_on((PINS / "constraints.txt").read_text(encoding="utf-8")), datetime.now(UTC).date()
    found = verdict(audited(PINS / "ci.txt"), pinned, today)
    sys.stdout.write("\n".join(found.lines) + "\n")
    return int(found.failed)


if __name__ == "__main__":
    sys.exit(main())

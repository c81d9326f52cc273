"""Process identities that let others tell whether a process is still running: its number and start time, unique until the machine
reboots.

Known on Linux and within one container. Elsewhere, and for processes on other machines, nothing is known and nothing is claimed.
"""

from __future__ import annotations

import os
from functools import cache
from pathlib import Path

UNKNOWN = ""


def this_process() -> str:
    """This process's identity, at most 120 characters; `UNKNOWN` if it cannot be determined."""
    return _name_of(os.getpid())


@cache
def _name_of(process: int) -> str:
    started = _started(process)
    return UNKNOWN if started is None or not _place() else f"{_place()} {process} {started}"


@cache
def _place() -> str:
    """The machine's current boot, and the namespace in which its processes are numbered."""
    try:
        boot = Path("/proc/sys/kernel/random/boot_id").read_text(encoding="ascii").strip()
        return f"{boot} {Path('/proc/self/ns/pid').readlink()}"
    except OSError:
        return UNKNOWN


def _started(process: int) -> str | None:
    """When a process started, in clock ticks since boot (proc(5), field 22 of stat); None if it does not exist or has ended."""
    try:
        after_its_name = Path(f"/proc/{process}/stat").read_text(encoding="utf-8", errors="replace").rpartition(")")[2].split()
    except OSError:
        return None
    return None if after_its_name[0] in "ZX" else after_its_name[19]


def runs(name: str | None) -> bool | None:
    """Whether the process with this identity is still running; None if that cannot be known here."""
    words = (name or "").split(" ")
    if len(words) < 4 or not words[-2].isdigit() or " ".join(words[:-2]) != _place():
        return None
    return _started(int(words[-2])) == words[-1]

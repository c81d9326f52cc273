"""How much a process has used, as seen by another process. Linux only: elsewhere it reads as nothing, and only elapsed time and the
kernel's own limits apply.
"""

from __future__ import annotations

import os
from typing import NamedTuple


class Used(NamedTuple):
    """Processor time so far in seconds, and resident memory at this moment in bytes."""

    seconds: float
    memory: int


_NOTHING = Used(0.0, 0)
_TICKS = os.sysconf("SC_CLK_TCK")
_PAGE = os.sysconf("SC_PAGE_SIZE")
_UTIME, _STIME, _RSS = 11, 12, 21  # of /proc/PID/stat, counted from the state, the first field after the name


def used(pid: int) -> Used:
    """What the process has used; zeros if that cannot be read."""
    try:
        with open(f"/proc/{pid}/stat", "rb") as file:  # noqa: PTH123  # a tenth of the time that a Path takes
            found = file.read().rpartition(b") ")[2].split()
    except OSError:
        return _NOTHING
    return Used((int(found[_UTIME]) + int(found[_STIME])) / _TICKS, int(found[_RSS]) * _PAGE)

"""Makes a child process end together with its parent, even in the middle of a computation and even if the parent is killed."""

from __future__ import annotations

import ctypes
import os
import signal
import sys
import threading
import time

LOOK_SECONDS = 1.0
_PR_SET_PDEATHSIG = 1  # prctl(2), Linux


def end_with(parent: int, *, by_the_kernel: bool = True) -> None:
    """Make this process end when `parent` does. Called in the process itself, by its main thread, soon after the fork.

    On Linux the kernel ends it at once; elsewhere a thread checks once a second. Pass `by_the_kernel=False` in a process that
    was started by a thread of its parent: the kernel would take the end of that thread for the parent's.
    """
    if by_the_kernel:
        end_by_the_kernel(parent)
    if os.getppid() != parent:
        os._exit(1)
    threading.Thread(target=_watch, args=(parent,), name="parent", daemon=True).start()


def end_by_the_kernel(parent: int) -> None:
    """The same without a thread, for a process that will fork: on Linux it ends at once; elsewhere only if the parent has already ended."""
    if sys.platform == "linux":
        ctypes.CDLL(None, use_errno=True).prctl(_PR_SET_PDEATHSIG, signal.SIGKILL)
    if os.getppid() != parent:
        os._exit(1)


def _watch(parent: int) -> None:
    while os.getppid() == parent:
        time.sleep(LOOK_SECONDS)
    os._exit(1)

"""What a command says, and where: results to standard output, refusals to standard error."""

from __future__ import annotations

import sys

from service.settings import variable

WRONG = 2


def refuse(*lines: str) -> int:
    """Say why nothing was done; the exit code for that."""
    sys.stderr.write("\n".join(line.rstrip("\n") for line in lines) + "\n")
    return WRONG


def refuse_database(error: Exception) -> int:
    """Say why the database cannot be used, without its secrets."""
    reason = str(getattr(error, "orig", None) or error).strip()
    return refuse(f"The database of {variable('database_url')} cannot be used: {type(error).__name__}.", reason)


def say(text: str) -> int:
    """Say a result; the exit code of success."""
    sys.stdout.write(text.rstrip("\n") + "\n")
    sys.stdout.flush()
    return 0

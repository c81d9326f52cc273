"""Command output: results go to standard output, refusals and questions to standard error."""

from __future__ import annotations

import sys
from typing import IO, Any

import click

from service.settings import variable

WRONG = 2
ADD_YES = "Nothing was done: there is no terminal to ask on. Add --yes to do it."


class Refused(click.ClickException):
    """Nothing was done; says why, and what to do instead."""

    exit_code = WRONG

    def show(self, file: IO[Any] | None = None) -> None:
        """Called by click to show the error: prints only the text, like any other refusal."""
        click.echo(self.message, file=file, err=file is None)


def confirm(question: str, *, sure: bool) -> None:
    """Return if `sure` (the user passed `--yes`), or once the user agrees. Raises Refused without a terminal to ask on, Abort if the answer is no."""
    if sure:
        return
    if not sys.stdin.isatty():
        raise Refused(f"{question}\n{ADD_YES}")
    click.confirm(question, abort=True, err=True)


def refuse(*lines: str, code: int = WRONG) -> int:
    """Say why nothing was done; returns the exit code for that."""
    sys.stderr.write("\n".join(line.rstrip("\n") for line in lines) + "\n")
    return code


def refuse_database(error: Exception) -> int:
    """Say why the database cannot be used, without revealing secrets; returns the exit code."""
    reason = str(getattr(error, "orig", None) or error).strip()
    return refuse(f"The database of {variable('database_url')} cannot be used: {type(error).__name__}.", reason)


def refuse_file(error: OSError) -> int:
    """Say which file cannot be read or written, and why; returns the exit code."""
    return refuse(f"{error.filename}: {error.strerror}." if error.filename and error.strerror else f"{error}.")


def say(text: str) -> int:
    """Print a result; returns the exit code for success."""
    sys.stdout.write(text.rstrip("\n") + "\n")
    sys.stdout.flush()
    return 0

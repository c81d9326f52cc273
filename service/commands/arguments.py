"""Arguments of a command: what cannot be used is said by the command itself, as its other refusals are, instead of ending the process."""

from __future__ import annotations

import argparse
from typing import NoReturn


class Misused(ValueError):
    """Arguments that cannot be used; says which."""


class Parser(argparse.ArgumentParser):
    """As argparse's, but raises Misused."""

    def error(self, message: str) -> NoReturn:
        """Called by argparse."""
        raise Misused(f"{message}\n{self.format_usage()}")

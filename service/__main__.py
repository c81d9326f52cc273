"""Entry point: `python -m service` starts the server; `python -m service --help` lists the other commands."""

from __future__ import annotations

import sys

from service.cli.main import main

if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

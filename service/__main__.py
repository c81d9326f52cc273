"""`python -m service` serves quotes; `python -m service --help` lists what else it does."""

from __future__ import annotations

import sys

from service.cli.main import main

if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

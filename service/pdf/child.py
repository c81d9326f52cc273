"""The process that makes one PDF: a page in by standard input, a PDF out. `NO_PDF`: nothing can be made here, and why stands on standard error."""

from __future__ import annotations

import os
import resource
import sys

from service.documents.pdf import NoPdf, pdf_of

NO_PDF = 3
_NICENESS = 5  # requests that are answered meanwhile come first
_CPU_SECONDS, _MEMORY = 180, 2 << 30  # a page beyond every measure ends itself, even where nobody waits for it any more


def main() -> int:
    """Read, make, write."""
    os.nice(_NICENESS)
    resource.setrlimit(resource.RLIMIT_CPU, (_CPU_SECONDS, _CPU_SECONDS))
    resource.setrlimit(resource.RLIMIT_AS, (_MEMORY, _MEMORY))
    try:
        made = pdf_of(sys.stdin.buffer.read())
    except NoPdf as error:
        sys.stderr.write(str(error))
        return NO_PDF
    sys.stdout.buffer.write(made)
    return 0


if __name__ == "__main__":
    sys.exit(main())

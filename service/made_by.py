"""What the documents of this release are made by, as one short word: it stands in their entity tags and beside what is kept of them."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

_SOURCES = (Path(__file__).parent / "documents", Path(__file__).parent / "form", Path(__file__).parents[1] / "pricing")
_LIBRARIES = ("jinja2", "babel", "weasyprint", "xlsxwriter")


@cache
def made_by() -> str:
    """16 hexadecimal digits of the SHA-256 of every source and template that writes documents, and of the libraries' versions.

    So a document is never taken for one that another release made, and nobody has to remember to raise a number.
    """
    digest = hashlib.sha256()
    for folder in _SOURCES:
        for path in sorted(each for each in folder.rglob("*") if each.is_file() and each.suffix != ".pyc"):
            digest.update(f"{path.relative_to(folder).as_posix()}\n".encode() + path.read_bytes())
    digest.update("\n".join(_versions()).encode())
    return digest.hexdigest()[:16]


def _versions() -> Iterator[str]:
    for name in _LIBRARIES:
        try:
            yield f"{name} {version(name)}"
        except PackageNotFoundError:
            yield f"{name} none"

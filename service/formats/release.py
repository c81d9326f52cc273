"""A short identifier of the code that renders documents in this release; part of their entity tags and stored beside rendered ones."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

_ROOT = Path(__file__).parents[2]
_SOURCES = (
    *(_ROOT / "service" / part for part in ("documents", "web_form", "measuring_sheet", "style", "wording")),
    _ROOT / "pricing",
)
_LIBRARIES = ("jinja2", "babel", "segno", "typst", "xlsxwriter")


@cache
def made_by() -> str:
    """16 hexadecimal digits of the SHA-256 of every source and template that writes documents, and of the library versions.

    Thus a document is never mistaken for one rendered by another release, and nobody has to remember to bump a number.
    """
    digest = hashlib.sha256()
    for path in sources():
        digest.update(f"{path.as_posix().removeprefix(_ROOT.as_posix())}\n".encode() + path.read_bytes())
    digest.update("\n".join(_versions()).encode())
    return digest.hexdigest()[:16]


def sources() -> Iterator[Path]:
    """Every file of this release that documents are made by."""
    for folder in _SOURCES:
        yield from sorted(each for each in folder.rglob("*") if each.is_file() and each.suffix != ".pyc")


def _versions() -> Iterator[str]:
    for name in _LIBRARIES:
        try:
            yield f"{name} {version(name)}"
        except PackageNotFoundError:
            yield f"{name} none"

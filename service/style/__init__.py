"""The one style of all pages: type, colours, headings, fields, buttons, tables and notices; black on white in print. Each page adds what
is its own.

The colours are those of the form's element where a shop sets none.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable
from pathlib import Path

SHARED = (Path(__file__).parent / "shared.css").read_text(encoding="utf-8")


def style_of(own: Path) -> str:
    """The whole style of a page: the shared one, then the page's own sheet, which can differ from it."""
    return SHARED + own.read_text(encoding="utf-8")


def hashes(styles: Iterable[str]) -> str:
    """The Content-Security-Policy sources that allow exactly these styles (CSP 3, `hash-source`)."""
    return " ".join(f"'sha256-{base64.b64encode(hashlib.sha256(each.encode()).digest()).decode()}'" for each in styles)

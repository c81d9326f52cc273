"""The form's element as one ES module: its parts, joined in order. A page that names it with `integrity` gets the very bytes or nothing."""

from __future__ import annotations

import base64
import gzip
import hashlib
from functools import cache
from pathlib import Path

FOLDER = Path(__file__).parent / "element"
PARTS = (
    "texts", "dom", "answers", "draft", "service", "lengths", "controls", "field", "model", "preview", "sending", "price", "questions", "pages",
    "review", "styles", "app", "element",
)  # fmt: skip
ADDRESS = "/form/element.js"
TAG = "wire-quote-form"


@cache
def module() -> bytes:
    """The module in UTF-8."""
    return "\n".join((FOLDER / f"{name}.js").read_text(encoding="utf-8") for name in PARTS).encode()


@cache
def packed() -> bytes:
    """The module as gzip."""
    return gzip.compress(module(), 9, mtime=0)


@cache
def version() -> str:
    """16 hexadecimal digits of the SHA-256 of the module: an address that carries them (`?v=`) always means the same bytes."""
    return hashlib.sha256(module()).hexdigest()[:16]


@cache
def integrity() -> str:
    """The `integrity` of the module's script (W3C Subresource Integrity)."""
    return f"sha384-{base64.b64encode(hashlib.sha384(module()).digest()).decode()}"


def lines_of_a_page(service: str, key: str, language: str = "en") -> str:
    """The two lines that a shop puts into its page. `service`: address without a path; `key`: a publishable one."""
    script = f'<script type="module" src="{service}{ADDRESS}?v={version()}" integrity="{integrity()}" crossorigin></script>'
    return f'{script}\n<{TAG} service="{service}" key="{key}" lang="{language}"></{TAG}>\n'

"""The form's element as one ES module, its parts joined in order. A page that gives its `integrity` gets exactly these bytes or nothing."""

from __future__ import annotations

import base64
import hashlib
import re
from functools import cache
from pathlib import Path

from service.encoding.gzip import pack_small
from service.web_form.element_texts import script

FOLDER = Path(__file__).parent / "element"
PARTS = (
    "texts", "shop", "dom", "press", "refill", "answers", "draft", "service", "lengths", "controls", "field", "model", "preview", "sending", "price", "drawing", "questions", "pages",
    "review", "styles", "app", "element",
)  # fmt: skip
ADDRESS = "/form/element.js"
TAG = "wire-quote-form"


_COMMENT = re.compile(r"^[ ]*/\*\*.*?\*/\n|^[ ]*//[^\n]*\n", re.MULTILINE | re.DOTALL)  # those that have lines of their own
_INDENT = re.compile(r"^[ \n]+", re.MULTILINE)


def part(folder: Path, name: str) -> str:
    """A part without its comments and indentation, which are for who reads the part."""
    return _INDENT.sub("", _COMMENT.sub("", (folder / f"{name}.js").read_text(encoding="utf-8")))


@cache
def module() -> bytes:
    """The module in UTF-8."""
    return "\n".join([script(), *(part(FOLDER, name) for name in PARTS)]).encode()


@cache
def packed() -> bytes:
    """The module, gzipped."""
    return pack_small(module())


@cache
def version() -> str:
    """16 hexadecimal digits of the module's SHA-256: a URL that contains them (`?v=`) always means the same bytes."""
    return hashlib.sha256(module()).hexdigest()[:16]


@cache
def integrity() -> str:
    """The `integrity` value for the module's script (W3C Subresource Integrity)."""
    return f"sha384-{base64.b64encode(hashlib.sha384(module()).digest()).decode()}"


def lines_of_a_page(service: str, key: str, language: str = "en") -> str:
    """The two lines that a shop adds to its page. `service`: URL without a path; `key`: a publishable one."""
    script = f'<script type="module" src="{service}{ADDRESS}?v={version()}" integrity="{integrity()}" crossorigin></script>'
    return f'{script}\n<{TAG} service="{service}" publishable-key="{key}" lang="{language}"></{TAG}>\n'

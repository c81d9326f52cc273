"""The contract as a page to read: `openapi.yaml` written out as HTML (UTF-8), without scripts, and nothing is fetched."""

from __future__ import annotations

import base64
import hashlib
from functools import cache
from pathlib import Path

import yaml
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markdown_it import MarkdownIt
from markupsafe import Markup

from service.manual.reading import chapters, named_schemas

_FOLDER = Path(__file__).parent
STYLE = (_FOLDER / "page.css").read_text(encoding="utf-8")
_WORDS = MarkdownIt("commonmark", {"html": False}).disable("image")


@cache
def page(contract: bytes) -> bytes:
    """The manual of an OpenAPI 3.1 document in YAML. Half a second, once a process."""
    document = yaml.load(contract, Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader))  # noqa: S506  # the safe one, in C where there is C
    environment = Environment(
        loader=FileSystemLoader(_FOLDER), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    environment.filters.update(words=_words, phrase=_phrase)
    shown = environment.get_template("page.html").render(
        info=document["info"],
        chapters=chapters(document),
        schemas=named_schemas(document),
        style=Markup(STYLE),  # noqa: S704  # this module's own
    )
    return shown.encode()


def style_hash() -> str:
    """What a Content-Security-Policy names to allow this very style (CSP 3, `hash-source`)."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(STYLE.encode()).digest()).decode()}'"


def _words(text: str) -> Markup:
    """Text of the contract, which is CommonMark, as HTML."""
    return Markup(_WORDS.render(text))  # noqa: S704  # HTML in it is escaped by the library


def _phrase(text: str) -> Markup:
    """The same within a line."""
    return Markup(_WORDS.renderInline(text))  # noqa: S704

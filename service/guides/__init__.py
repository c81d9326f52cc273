"""Serves `/docs`: the guides, one page each, a list of contents, and the API contract; HTML in UTF-8, without scripts or external
resources.

The guides are CommonMark files beside this module, readable in the repository as they are.
"""

from __future__ import annotations

import base64
import re
from functools import cache
from html import unescape
from pathlib import Path
from typing import NamedTuple

import yaml
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markdown_it import MarkdownIt
from markupsafe import Markup

from service.guides.drawings import drawing
from service.guides.reading import chapters, named_schemas
from service.style import hashes, style_of

FOLDER = Path(__file__).parent
STYLE = style_of(FOLDER / "page.css")
CONTRACT = "api"  # the name of the contract's page
SHELVES = {
    "How to": (
        "quote-a-boat", "a-day-at-the-shop", "find-a-quote", "from-quote-to-rig", "web-form", "your-own-tables", "from-your-spreadsheet", "deploy-and-upgrade", "fleets", "webhooks", "cutting-plans", "what-to-buy", "erase-a-customer",
        "learn-from-the-bench",
    ),
    "Reference": ("settings-and-commands", "what-a-fitting-needs", "documents", "keys-and-limits", "life-of-a-quote"),
    "Background": ("how-a-length-is-computed", "what-waste-costs", "why-a-plan-is-proven", "more-machines"),
}  # fmt: skip
_WORDS = MarkdownIt("commonmark", {"html": False}).enable("table")
_A_DRAWING = re.compile(r'<pre><code class="language-drawing-([a-z]+)">(.*?)</code></pre>', re.DOTALL)  # a block of it tells what it shows
_PICTURE = re.compile(r'<img src="pictures/([a-z-]+\.png)"', re.ASCII)
_TO_A_GUIDE = re.compile(r'href="([a-z-]+)\.md(#[a-z-]+)?"', re.ASCII)


class Guide(NamedTuple):
    """A guide: its name in URLs, its title, and its text in CommonMark."""

    name: str
    title: str
    text: str


@cache
def guides() -> dict[str, Guide]:
    """Every guide by name, in the order of the list of contents."""
    found = {}
    for name in (each for shelf in SHELVES.values() for each in shelf):
        text = (FOLDER / f"{name}.md").read_text(encoding="utf-8")
        title, _, rest = text.removeprefix("# ").partition("\n")
        found[name] = Guide(name, title, rest)
    return found


@cache
def contents() -> bytes:
    """The list of contents."""
    return _rendered(
        "contents.html",
        title="Guides",
        kind="contents",
        shelves={shelf: [guides()[name] for name in names] for shelf, names in SHELVES.items()},
    )


@cache
def guide(name: str) -> bytes | None:
    """One guide as a page; None if there is no guide with this name."""
    found = guides().get(name)
    if found is None:
        return None
    linked = _PICTURE.sub(_pictured, _TO_A_GUIDE.sub(r'href="/docs/\1\2"', _WORDS.render(found.text)))
    body = Markup(_A_DRAWING.sub(lambda match: drawing(match[1], unescape(match[2])), linked))  # noqa: S704  # HTML in it is escaped by the library
    return _rendered("guide.html", title=found.title, kind="guide", body=body)


def _pictured(match: re.Match[str]) -> str:
    """A picture within the page, which fetches nothing."""
    return f'<img src="data:image/png;base64,{base64.b64encode((FOLDER / "pictures" / match[1]).read_bytes()).decode()}"'


@cache
def problem(code: str, status: int, title: str, meaning: str, remedy: str) -> bytes:
    """The page that explains a kind of problem."""
    text = f"`{code}`, status {status}.\n\n{meaning}\n\n**What to do.** {remedy}\n\n[All kinds of problem](/problems)"
    return _rendered("guide.html", title=title, kind="guide", body=_words(text))


@cache
def problems(kinds: tuple[tuple[str, int, str], ...]) -> bytes:
    """The list of all kinds of problem: code, status and title of each."""
    rows = "\n".join(
        f"| {status} | [{code}](/problems/{code}) | {title} |" for code, status, title in sorted(kinds, key=lambda each: each[1])
    )
    text = (
        "Every refusal is a problem document (RFC 9457): `type` is the address of a page here, `code` its last part. `errors` names each place "
        "at fault: a `pointer` into the body (RFC 6901, as a URI fragment), a `parameter`, or a `header`, with a `code` of its own and what to "
        f"write instead.\n\n| Status | Kind | Title |\n|---|---|---|\n{rows}\n"
    )
    return _rendered("guide.html", title="Problems", kind="guide", body=_words(text))


@cache
def page(contract: bytes) -> bytes:
    """An OpenAPI 3.1 document in YAML as a page. Takes half a second, once per process."""
    document = yaml.load(contract, Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader))  # noqa: S506  # the safe loader, in C where available
    info = document["info"]
    return _rendered(
        "page.html",
        title=f"{info['title']}, {info['version']}",
        kind="contract",
        info=info,
        chapters=chapters(document),
        schemas=named_schemas(document),
    )


def _rendered(template: str, **values: object) -> bytes:
    environment = Environment(
        loader=FileSystemLoader(FOLDER), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    environment.filters.update(words=_words, phrase=_phrase)
    return environment.get_template(template).render(style=Markup(STYLE), **values).encode()  # noqa: S704  # this module's own


def style_hash() -> str:
    """The Content-Security-Policy source that allows exactly this style (CSP 3, `hash-source`)."""
    return hashes([STYLE])


def _words(text: str) -> Markup:
    """The contract's text, which is CommonMark, as HTML."""
    return Markup(_WORDS.render(text))  # noqa: S704  # HTML in it is escaped by the library


def _phrase(text: str) -> Markup:
    """The same, inline."""
    return Markup(_WORDS.renderInline(text))  # noqa: S704

"""URL converters for quote numbers, and for assembly tags, which may be any percent-encoded text, including slashes."""

from __future__ import annotations

from flask import Flask
from werkzeug.routing import BaseConverter


class Tag(BaseConverter):
    """The tag of an assembly. Unlike Werkzeug's `path`, it may begin with a slash."""

    regex = r"[\s\S]{1,200}"
    part_isolating = False


class Number(BaseConverter):
    """The number of a quote, such as Q-2026-000042."""

    regex = r"Q-[0-9]{4}-[0-9]{6,12}"


def install(app: Flask) -> None:
    """Register the converters, so that URL rules can use them."""
    app.url_map.converters.update(tag=Tag, number=Number)

"""URL converter for assembly tags, which may be any text, percent-encoded, including slashes."""

from __future__ import annotations

from flask import Flask
from werkzeug.routing import BaseConverter


class Tag(BaseConverter):
    """Unlike with `path`, a tag may begin with a slash."""

    regex = r"[\s\S]{1,200}"
    part_isolating = False


def install(app: Flask) -> None:
    """Register the converter, so that URL rules can use it."""
    app.url_map.converters["tag"] = Tag

"""An assembly's tag in an address: any text, percent-encoded, with a slash in it, too."""

from __future__ import annotations

from flask import Flask
from werkzeug.routing import BaseConverter


class Tag(BaseConverter):
    """Unlike `path` a tag may begin with a slash."""

    regex = r"[\s\S]{1,200}"
    part_isolating = False


def install(app: Flask) -> None:
    """Let rules name it."""
    app.url_map.converters["tag"] = Tag

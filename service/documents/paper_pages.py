"""What papers in HTML share: their templates' environment, and the isolation of what people wrote."""

from __future__ import annotations

from pathlib import Path

from jinja2 import Environment
from markupsafe import Markup

from service.documents.csv.cells import plain
from service.wording.templates import templates_in


def environment(folder: Path, language: str) -> Environment:
    """An environment of the templates in a folder, with the texts of a language and the filters `own` and `plain`."""
    made = templates_in(folder, language)
    made.filters.update(own=own, plain=plain)
    return made


def own(text: object) -> Markup:
    """User-supplied text, isolated so that its writing direction does not affect its surroundings, without characters that pages
    cannot show.
    """
    return Markup("<bdi>{}</bdi>").format(plain(text))

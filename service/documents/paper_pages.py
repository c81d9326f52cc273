"""What papers in HTML share: their templates' environment, and the isolation of what people wrote."""

from __future__ import annotations

from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from service.documents.csv.cells import plain
from service.wording import messages


def environment(folder: Path, language: str) -> Environment:
    """An environment of the templates in a folder, with the texts of a language and the filters `own` and `plain`."""
    made = Environment(
        loader=FileSystemLoader(folder),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        extensions=["jinja2.ext.i18n"],
    )
    said = messages(language)
    made.install_gettext_callables(said.gettext, said.ngettext, newstyle=True)  # type: ignore[attr-defined]  # added by the extension
    made.filters.update(own=own, plain=plain)
    return made


def own(text: object) -> Markup:
    """User-supplied text, isolated so that its writing direction does not affect its surroundings, without characters that pages
    cannot show.
    """
    return Markup("<bdi>{}</bdi>").format(plain(text))

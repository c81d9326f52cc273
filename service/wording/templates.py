"""Templates with the texts of a language: those of the form, of the desk and of papers."""

from __future__ import annotations

from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from service.wording import messages


def templates_in(folder: Path, language: str) -> Environment:
    """The templates in a folder; what they show is escaped, and a name that they are not given is a fault."""
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
    return made

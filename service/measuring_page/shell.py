"""The page itself, the same for everybody: it contains the publishable key of the shop's form, and no personal data."""

from __future__ import annotations

from pathlib import Path

from jinja2 import FileSystemLoader
from markupsafe import Markup

from service.encoding.languages import LANGUAGES
from service.measuring_page import module
from service.style import hashes, style_of
from service.web_form.asking import N_
from service.web_form.pages import environment

ADDRESS = "/measure"
FOLDER = Path(__file__).parent / "templates"
STYLE = style_of(FOLDER / "measure.css")
TITLE = N_("Measure wires on the dock")
POLICY = (
    "default-src 'none'; script-src 'self'; worker-src 'self'; connect-src 'self'; img-src 'self'; manifest-src 'self'; "
    f"style-src {hashes([STYLE])}; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)


def shell(origin: str, key: str, language: str) -> bytes:
    """The page in a language. `origin`: of the service, without a path; `key`: a publishable one that is bound to it."""
    pages = environment(language).overlay(loader=FileSystemLoader(FOLDER))
    script = f"{module.ADDRESS}?v={module.version()}"
    return (
        pages.get_template("measure.html")
        .render(language=language, languages=LANGUAGES, title=TITLE, style=Markup(STYLE), script=script, origin=origin, key=key)  # noqa: S704  # own file
        .encode()
    )

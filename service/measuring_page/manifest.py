"""How the page is installed on a device (W3C Web Application Manifest), and its icon, the project's own drawing."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from service.encoding import json
from service.measuring_page.shell import ADDRESS, TITLE
from service.web_form.asking import N_
from service.wording import translator

ICON = "/measure/icon.svg"
MEDIA = "application/manifest+json"
SHORT = N_("Measure")
_COLOURS = {"background_color": "#ffffff", "theme_color": "#0b5a6b"}  # paper and accent of service/style/shared.css


@cache
def manifest(language: str) -> bytes:
    """The manifest as JSON in UTF-8. The page keeps one identity in every language."""
    say = translator(language)
    icons = [{"src": ICON, "sizes": "any", "type": "image/svg+xml", "purpose": purpose} for purpose in ("any", "maskable")]
    return json.write(
        {
            "id": ADDRESS, "name": say(TITLE), "short_name": say(SHORT), "lang": language, "start_url": f"{ADDRESS}?lang={language}",
            "scope": ADDRESS, "display": "standalone", **_COLOURS, "icons": icons,
        }
    )  # fmt: skip


@cache
def icon() -> bytes:
    """The icon as SVG, of one size for all."""
    return (Path(__file__).parent / "icon.svg").read_bytes()

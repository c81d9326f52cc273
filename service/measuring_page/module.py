"""The page's script: the form's element with the pages of the dock, as one ES module, its parts joined in order."""

from __future__ import annotations

import hashlib
import json
from functools import cache
from pathlib import Path

from service.encoding.gzip import pack_small
from service.measuring_page import texts
from service.web_form import element_texts
from service.web_form.illustrations import NAMES
from service.web_form.module import FOLDER, PARTS, part

ADDRESS = "/measure/app.js"
OWN = Path(__file__).parent / "dock"
OWN_PARTS = ("steps", "step_pages", "keeping", "styles", "dock")
_LAST = "element"  # defines the element, so all that it needs comes before


@cache
def module() -> bytes:
    """The module in UTF-8."""
    shared = [part(FOLDER, name) for name in PARTS if name != _LAST]
    own = [f"const PICTURES = {json.dumps(NAMES)};", *(part(OWN, name) for name in OWN_PARTS)]
    return "\n".join([element_texts.script(), texts.script(), *shared, *own, part(FOLDER, _LAST)]).encode()


@cache
def packed() -> bytes:
    """The module, gzipped."""
    return pack_small(module())


@cache
def version() -> str:
    """16 hexadecimal digits of the module's SHA-256."""
    return hashlib.sha256(module()).hexdigest()[:16]

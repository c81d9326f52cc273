"""The page's service worker: its script, with the fixed list of URLs that it caches."""

from __future__ import annotations

import hashlib
import json

from service.encoding.languages import LANGUAGES
from service.formats.release import made_by
from service.measuring_page import module
from service.measuring_page.manifest import ICON, icon, manifest
from service.measuring_page.shell import ADDRESS, shell
from service.web_form.illustrations import NAMES

SCRIPT = module.OWN / "worker.js"
POLICY = "default-src 'none'; connect-src 'self'"  # of what the worker itself fetches


def worker(origin: str, key: str) -> bytes:
    """The script. Its first lines list what it caches, with a hash of all of that: any change makes a different worker, which browsers fetch on
    the next visit.
    """
    manifests = [f"{ADDRESS}/manifest.json?lang={each}" for each in LANGUAGES]
    kept = [*(f"{ADDRESS}?lang={each}" for each in LANGUAGES), f"{module.ADDRESS}?v={module.version()}", *manifests, ICON]
    pictures = [f"/v1/form/illustrations/{name}?lang={each}" for name in NAMES for each in LANGUAGES]
    named = {"VERSION": _version(origin, key), "LANGUAGES": LANGUAGES, "SHELL": kept, "PICTURES": pictures}
    lines = [f"const {name} = {json.dumps(value)};" for name, value in named.items()]
    return "\n".join([*lines, SCRIPT.read_text(encoding="utf-8")]).encode()


def _version(origin: str, key: str) -> str:
    digest = hashlib.sha256(module.module() + icon() + made_by().encode())  # the drawings differ between releases
    for language in LANGUAGES:
        digest.update(shell(origin, key, language) + manifest(language))
    return digest.hexdigest()[:16]

"""`form`: what puts the form into a shop's page: its lines, or its module as a package."""

from __future__ import annotations

import re
from pathlib import Path

from service.cli.out import refuse, say
from service.encoding.languages import LANGUAGES
from service.settings import Settings
from service.web_form.module import lines_of_a_page

_SERVICE = re.compile(r"https?://[A-Za-z0-9.\[\]:-]+(/[A-Za-z0-9._~/-]*)?", re.ASCII)
_KEY = re.compile(r"[A-Za-z0-9_.-]{1,200}", re.ASCII)


def lines(address: str, key: str, lang: str) -> int:
    """Print the lines; returns 2 if the address or the key is not fit for a page."""
    service = address.rstrip("/")
    if not _SERVICE.fullmatch(service):
        return refuse(f"{address}: write the service's address, such as https://quotes.example")
    if not _KEY.fullmatch(key) or not key.startswith("wq_publishable_"):
        return refuse("--key must be a publishable key (wq_publishable_...): a secret key does not belong in a page")
    return say(lines_of_a_page(service, key, lang).rstrip())


def package(settings: Settings, folder: Path, name: str, number: str | None) -> int:
    """Write the package to a new folder; returns 2 if it holds something, or for a name or version that npm would not take. Raises TableError, OSError."""
    from service.cli.in_force import engine_with_or_without
    from service.web_form.described import described_of
    from service.web_form.npm_package import NAME, VERSION, default_version, files

    number = number or default_version()
    if not NAME.fullmatch(name):
        return refuse(f"--name {name}: write it in small letters, such as wire-quote-form or @shop/wire-quote-form")
    if not VERSION.fullmatch(number):
        return refuse(f"--version {number}: write three numbers, such as 1.0.0")
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        return refuse(f"{folder} already exists and is not empty: name another folder, or empty it.")
    catalogue = engine_with_or_without(settings).offered
    made = files({each: described_of(catalogue, each) for each in LANGUAGES}, name, number)
    folder.mkdir(parents=True, exist_ok=True)
    for file, content in made.items():
        (folder / file).write_bytes(content)
        (folder / file).chmod(0o644)  # there is nothing in it that a web server may not read
    folder.chmod(0o755)
    return say(f"{len(made)} files of {name} {number} in {folder}; begin with its README.md.")

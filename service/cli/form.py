"""`form`: print the two lines that embed the form in a shop's page."""

from __future__ import annotations

import re

from service.cli.out import refuse, say
from service.web_form.module import lines_of_a_page

_SERVICE = re.compile(r"https?://[A-Za-z0-9.\[\]:-]+(/[A-Za-z0-9._~/-]*)?", re.ASCII)
_KEY = re.compile(r"[A-Za-z0-9_.-]{1,200}", re.ASCII)


def form(address: str, key: str, lang: str) -> int:
    """Print the lines; returns 2 if the address or the key is not fit for a page."""
    service = address.rstrip("/")
    if not _SERVICE.fullmatch(service):
        return refuse(f"{address}: write the service's address, such as https://quotes.example")
    if not _KEY.fullmatch(key) or not key.startswith("wq_publishable_"):
        return refuse("--key must be a publishable key (wq_publishable_...): a secret key does not belong in a page")
    return say(lines_of_a_page(service, key, lang).rstrip())

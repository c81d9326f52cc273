"""`form`: the two lines that put the form into a shop's page."""

from __future__ import annotations

import re
from collections.abc import Sequence

from service.commands.arguments import Misused, Parser
from service.commands.out import refuse, say
from service.form.module import lines_of_a_page
from service.form.speech import LANGUAGES

_SERVICE = re.compile(r"https?://[A-Za-z0-9.\[\]:-]+(/[A-Za-z0-9._~/-]*)?", re.ASCII)
_KEY = re.compile(r"[A-Za-z0-9_.-]{1,200}", re.ASCII)


def form(arguments: Sequence[str]) -> int:
    """Print the lines of a page; 2 for arguments that cannot be used."""
    parser = Parser(prog="python -m service form")
    parser.add_argument("service", help="where the service is reached from outside, such as https://quotes.example")
    parser.add_argument("--key", default="wq_publishable_...", help="a publishable key that is bound to the page's origin")
    parser.add_argument("--lang", default=LANGUAGES[0], choices=LANGUAGES)
    try:
        asked = parser.parse_args(arguments)
    except Misused as error:
        return refuse(str(error))
    address = asked.service.rstrip("/")
    if not _SERVICE.fullmatch(address):
        return refuse(f"{asked.service}: write the service's address, such as https://quotes.example")
    if not _KEY.fullmatch(asked.key) or not asked.key.startswith("wq_publishable_"):
        return refuse("--key takes a publishable key (wq_publishable_...): a secret one does not belong in a page")
    return say(lines_of_a_page(address, asked.key, asked.lang).rstrip())

"""The catalogue of words: TOML files in a folder for each language, read once.

A finding's texts are listed under its code, or under code and wording if one code has several sets of texts:

    [length-order]
    owner = "This wire is longer than {other}, which it must be shorter than."
    owner_remedy = "Measure both again."
    shop = "..."
    shop_remedy = "..."

`shop` and `shop_remedy` may be omitted if they are the same as the owner's. A finding on which only the shop can act has no `owner`. Names are listed
under their keys with the forms needed by the texts of that language (`{end:at}` takes the form `at`, `{end}` the form `name`); German `am`,
`im`, `vom` and `zum` are derived from `dem`. An assumption also has `short`: the words after "Assumed:" when it is listed with others.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from functools import cache
from importlib.resources import files
from typing import Any

LANGUAGES = ("en", "de")
READERS = ("owner", "shop")
NAMES = "names"
Forms = Mapping[str, str]


@cache
def names(language: str) -> Mapping[str, Forms]:
    """All names of a language by key (`end.upper`), each with its forms."""
    return _read(language, names_only=True)


@cache
def entries(language: str) -> Mapping[str, Forms]:
    """All texts of findings of a language by `code` or `code.wording`."""
    return _read(language, names_only=False)


def _read(language: str, *, names_only: bool) -> dict[str, Forms]:
    """All keys of a language's files. The wordings of a code may be spread over several files, but each is in only one."""
    texts: dict[str, Forms] = {}
    for file in sorted(files(__package__).joinpath(language).iterdir(), key=lambda each: each.name):
        if file.name.endswith(".toml") and file.name.startswith(NAMES) is names_only:
            for key, forms in _flat("", tomllib.loads(file.read_text(encoding="utf-8"))):
                if key in texts:
                    raise RuntimeError(f"the words of {key!r} stand in two files of {language!r}: keep one")
                texts[key] = forms
    return texts


def _flat(key: str, table: Mapping[str, Any]) -> Iterator[tuple[str, Forms]]:
    forms = {name: value for name, value in table.items() if isinstance(value, str)}
    if forms:
        yield key, forms
    for name, value in table.items():
        if not isinstance(value, str):
            yield from _flat(f"{key}.{name}" if key else name, value)

"""The form's element as a folder that npm understands: the served module, its types, its texts. Nothing is built."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from importlib.metadata import version as version_of
from pathlib import Path
from typing import Any

from service.encoding.languages import LANGUAGES
from service.web_form.element_texts import WORDED, texts
from service.web_form.module import TAG, module, version

FOLDER = Path(__file__).parent / "package"
TYPES = (f"{TAG}.d.ts", "react.d.ts", "vue.d.ts")
VERSION = re.compile(
    r"(0|[1-9]\d{0,8})(\.(0|[1-9]\d{0,8})){2}(-[0-9A-Za-z][0-9A-Za-z.-]{0,63})?", re.ASCII
)  # what npm takes of Semantic Versioning 2.0.0
NAME = re.compile(r"(@[a-z0-9][a-z0-9._-]{0,60}/)?[a-z0-9][a-z0-9._-]{0,120}", re.ASCII)  # npm's rule for names of packages


def default_version() -> str:
    """The service's own."""
    return version_of("wire-replacement-quotes")


def files(forms: Mapping[str, Mapping[str, Any]], name: str, number: str) -> dict[str, bytes]:
    """The folder's files by name. `forms`: the form's description by language; `name`, `number`: as in NAME and VERSION."""
    readme = (FOLDER / "README.md").read_text(encoding="utf-8").replace("PACKAGE", name).replace("MODULE", version())
    return {
        "package.json": _json(_manifest(name, number)),
        "README.md": readme.encode(),
        f"{TAG}.js": module(),
        **{each: (FOLDER / each).read_bytes() for each in TYPES},
        **{
            _texts_file(each): _json({"lang": each, "texts": {text: text for text in texts_shown(forms[each], each)}}) for each in LANGUAGES
        },
    }


def texts_shown(form: Mapping[str, Any], language: str) -> list[str]:
    """Every text that the form's element shows in a language, without duplicates: those that a shop's file can replace."""
    own = (each for text in texts(language).values() for each in ([text] if isinstance(text, str) else text))
    described = (each for part in ("sections", "questions", "cautions") for each in _texts_in(form[part], part))
    return list(dict.fromkeys([*own, *described]))


def _texts_in(value: Any, name: str) -> Iterator[str]:
    if isinstance(value, str):
        if name in WORDED:
            yield value
    elif isinstance(value, Mapping):
        for key, each in value.items():
            yield from _texts_in(each, key)
    elif isinstance(value, list | tuple):
        for each in value:
            yield from _texts_in(each, name)


def _texts_file(language: str) -> str:
    return f"texts.{language}.json"


def _manifest(name: str, number: str) -> dict[str, Any]:
    types = {stem: {"types": f"./{stem}.d.ts"} for stem in ("react", "vue")}
    return {
        "name": name,
        "version": number,
        "description": "The form of a rig shop's service for quotes of replacement wires, as a custom element.",
        "license": "MIT",
        **({} if name.startswith("@") else {"private": True}),  # nobody publishes by mistake what has no scope of the shop's own
        "type": "module",
        "exports": {
            ".": {"types": f"./{TAG}.d.ts", "default": f"./{TAG}.js"},
            **{f"./{stem}": entry for stem, entry in types.items()},
            **{f"./{_texts_file(each)}": f"./{_texts_file(each)}" for each in LANGUAGES},
            "./package.json": "./package.json",
        },
        "types": f"./{TAG}.d.ts",
        "sideEffects": [f"./{TAG}.js"],
        "files": [f"{TAG}.js", *TYPES, *(_texts_file(each) for each in LANGUAGES)],
    }


def _json(value: Any) -> bytes:
    return (json.dumps(value, ensure_ascii=False, indent=2) + "\n").encode()

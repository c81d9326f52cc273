"""Every text of the desk is said in German, too."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

from babel.messages.pofile import read_po
from jinja2.ext import babel_extract

from service.desk import pages
from service.wording import FOLDER

DESK = Path(pages.__file__).parent


def in_templates() -> Iterator[str]:
    for file in DESK.rglob("*.html"):
        options = {"trimmed": "false", "silent": "false", "trim_blocks": "true", "lstrip_blocks": "true"}
        for _, _, said, _ in babel_extract(BytesIO(file.read_bytes()), ("_", "gettext", "ngettext"), (), options):
            yield from [each for each in ([said] if isinstance(said, str) else said or ()) if isinstance(each, str)]


def in_code() -> Iterator[str]:
    for file in DESK.rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in ("_", "say"):
                yield from [each.value for each in node.args if isinstance(each, ast.Constant) and isinstance(each.value, str)]


def test_every_text_of_the_desk_has_its_german() -> None:
    with (FOLDER / "de.po").open("rb") as file:
        known = {
            name for each in read_po(file, locale="de") if each.string for name in ([each.id] if isinstance(each.id, str) else each.id)
        }
    said = {*in_templates(), *in_code()}
    assert len(said) > 40
    assert sorted(each for each in said if each not in known) == []


def test_no_page_names_a_field_of_the_api() -> None:
    """People of the shop read plain words; a word with an underscore is a programmer's."""
    assert [each for each in {*in_templates(), *in_code()} if re.search(r"[a-z]_[a-z]", re.sub(r"%\(\w+\)s", "", each))] == []

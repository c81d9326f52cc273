"""Every text of the sheet and its page exists in German."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from service import measuring_sheet
from service.wording import messages

FOLDER = Path(measuring_sheet.__file__).parent
PAGE = FOLDER.parent / "web_form" / "templates" / "sheet.html"


def marked() -> list[str]:
    found = []
    for path in FOLDER.glob("*.py"):
        calls = [each for each in ast.walk(ast.parse(path.read_text(encoding="utf-8"))) if isinstance(each, ast.Call)]
        found += [ast.literal_eval(each.args[0]) for each in calls if getattr(each.func, "id", "") == "N_"]
    for words in re.findall(r"{% trans[^%]*%}(.*?){% endtrans %}", PAGE.read_text(encoding="utf-8"), re.DOTALL):
        found.append(re.sub(r"{{ (\w+) }}", r"%(\1)s", words.split("{% pluralize %}")[0]))
    return list(dict.fromkeys(found))


@pytest.mark.parametrize("words", marked())
def test_it_is_given_in_german(words: str) -> None:
    said = messages("de")
    assert words not in (said.gettext(words), said.ngettext(words, words, 1)) or said.gettext(words) != said.ngettext(words, words, 1)

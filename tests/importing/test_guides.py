"""The import's guides: they list the dimensions that the tables require, each is in its fitting's drawing, and each drawing has a text beside it."""

from __future__ import annotations

import re

import html5lib
import pytest

from pricing.fittings import FAMILIES
from pricing.importing.lacking import NEVER_ASKED, needed
from service.guides import guide, guides
from service.guides.drawings import DRAWINGS

OF_EVERY_TERMINAL = {"family", "attachment", "constructions", "wire_sizes", "break", "mass"}
FORMS = [(name, attachment) for name, family in FAMILIES.items() if family.listed for attachment in family.attachments]
TEXT = guides()["what-a-fitting-needs"].text


def drawn(name: str) -> set[str]:
    return {word for text in re.findall(r"<text [^>]*>([^<]*)</text>", DRAWINGS[name]().svg("")) for word in re.findall(r"[a-z_]+", text)}


@pytest.mark.parametrize(("family", "attachment"), FORMS)
def test_the_guide_lists_what_each_family_needs(family: str, attachment: str) -> None:
    (listed,) = re.findall(rf"(?m)^- {family}, {attachment}: (.*)$", TEXT)
    wanted = set(needed("terminals", family=family, attachment=attachment)) - NEVER_ASKED - OF_EVERY_TERMINAL
    assert set(re.findall("`([a-z_]+)`", listed)) == wanted
    not_sizes = {"growth_u"}  # a doubt, which no drawing shows
    assert wanted - not_sizes <= drawn(family) | drawn("shank")


def test_each_drawing_is_on_the_page_and_told_in_words() -> None:
    page = guide("what-a-fitting-needs")
    assert page is not None
    document = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(page.decode())
    found = [each for each in document.iter() if str(each.tag).endswith("svg")]
    assert len(found) == len(DRAWINGS)
    for each in found:
        assert each.get("role") == "img"
        assert len(each.get("aria-label", "")) > 60
    assert "language-drawing" not in page.decode()


def test_a_drawings_words_name_what_it_shows() -> None:
    for name, text in re.findall(r"(?s)```drawing-([a-z]+)\n(.*?)```", TEXT):
        dimensions = drawn(name) & {column for form in FORMS for column in needed("terminals", family=form[0], attachment=form[1])}
        assert {each for each in dimensions - {"depth", "reach", "hand"} if each not in text} == set(), name

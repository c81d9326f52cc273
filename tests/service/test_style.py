"""The one style of all pages: every page has it, its colours can be told apart by whoever sees little, and none has colours of its own."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import service
from service.documents.bench_sheet import html as bench_sheet
from service.documents.quotation import html as quotation
from service.formats import release
from service.guides import STYLE as OF_GUIDES
from service.measuring_page.shell import STYLE as OF_THE_DOCK
from service.style import SHARED
from service.web_form import shop
from service.web_form.pages import STYLE as OF_THE_FORM

ROOT = Path(service.__file__).parent
STYLES = {
    "quotation": quotation.STYLE, "bench sheet": bench_sheet.STYLE, "guides": OF_GUIDES, "form": OF_THE_FORM, "shop": shop.STYLE, "dock": OF_THE_DOCK,
}  # fmt: skip
COLOUR = re.compile(r"#[0-9a-f]{3,8}\b|\brgba?\(", re.IGNORECASE)


def tokens(css: str) -> dict[str, str]:
    """The colours of a style by name; of two the first, which is the one for screens."""
    found: dict[str, str] = {}
    for name, said in re.findall(r"--([a-z-]+): (#[0-9a-f]{3,6});", css):
        found.setdefault(name, said)
    return found


def luminance(colour: str) -> float:
    """WCAG 2.2, relative luminance."""
    digits = colour.lstrip("#")
    channels = [int(each * 2 if len(digits) == 3 else each, 16) / 255 for each in re.findall("." * (len(digits) // 3), digits)]
    red, green, blue = (each / 12.92 if each <= 0.04045 else ((each + 0.055) / 1.055) ** 2.4 for each in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """WCAG 2.2, contrast ratio."""
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_the_contrast_is_reckoned_as_published() -> None:
    """WCAG 2.2: black on white is 21:1; #767676 on white is the lightest grey of 4.5:1 (WebAIM, contrast checker)."""
    assert contrast("#000", "#fff") == pytest.approx(21)
    assert contrast("#767676", "#fff") == pytest.approx(4.54, abs=0.01)


@pytest.mark.parametrize("ink", ["ink", "quiet", "accent", "stop", "ask"])
def test_text_stands_out_from_what_it_is_written_on(ink: str) -> None:
    """WCAG 2.2, 1.4.3 (AA): 4.5:1."""
    known = tokens(SHARED)
    assert all(contrast(known[ink], known[ground]) >= 4.5 for ground in ("paper", "tint"))


def test_buttons_and_the_edges_of_fields_stand_out() -> None:
    """WCAG 2.2, 1.4.3 and 1.4.11 (AA): 4.5:1 for the words of a button, 3:1 for the edge of a field and the mark of the focus."""
    known = tokens(SHARED)
    assert contrast(known["on-accent"], known["accent"]) >= 4.5
    assert contrast(known["line"], known["paper"]) >= 3
    assert contrast(known["accent"], known["paper"]) >= 3


@pytest.mark.parametrize("name", STYLES)
def test_every_page_has_the_shared_style_and_no_colour_of_its_own(name: str) -> None:
    shared, own = STYLES[name][: len(SHARED)], STYLES[name][len(SHARED) :]
    assert shared == SHARED
    assert len(own) > 100
    assert COLOUR.findall(own) == []


def test_the_element_has_the_same_colours_where_the_shop_sets_none() -> None:
    element = (ROOT / "web_form" / "element" / "styles.js").read_text(encoding="utf-8")
    defaults = {name: said for name, said in re.findall(r"var\(--wire-quote-([a-z-]+), ([^)]+)\)", element) if said.startswith("#")}
    assert defaults == tokens(SHARED)


def test_print_is_black_on_white() -> None:
    printed = tokens(SHARED[SHARED.index("@media print") :])
    assert {printed[name] for name in ("ink", "quiet", "accent", "stop", "ask")} == {"#000"}
    assert printed["tint"] == "#fff"


def test_another_style_is_another_release_of_the_papers() -> None:
    """So that nobody is told that the page he has is the current one."""
    assert ROOT / "style" / "shared.css" in set(release.sources())

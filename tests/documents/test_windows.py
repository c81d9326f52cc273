"""A drawing in pages: each page contains everything visible on it, and nothing that belongs to other pages alone."""

from __future__ import annotations

from math import inf
from xml.etree import ElementTree as ET

import pytest

from service.documents.rig_sheet import svg as rig_sheets
from service.documents.svg.paper import STANDING, Sheet
from service.documents.svg.windows import spanned, windows
from tests.documents import made
from tests.documents.picture import Picture
from tests.documents.quotes import case


def look(svg: str) -> Picture:
    return Picture(ET.fromstring(svg))  # noqa: S314  # our own drawing


def test_each_page_of_a_long_rig_sheet_has_the_texts_that_lie_on_it_and_hardly_more() -> None:
    whole = made.of(rig_sheets.drawing)(case("120 assemblies"), "en").decode()
    pages, texts = windows(whole), look(whole).texts
    assert len(pages) == 13
    shown = 0
    for at, page in enumerate(pages):
        top, bottom = at * STANDING.page, (at + 1) * STANDING.page
        seen = sorted((text.said, text.left, text.top) for text in look(page).texts)
        assert set(seen) >= {(text.said, text.left, text.top) for text in texts if text.top < bottom and text.bottom > top}
        shown += len(seen)
    assert shown <= 1.05 * len(texts)  # those at the feet are in both, so near the edge are they
    assert sum(map(len, pages)) < 3 * len(whole)


def test_what_reaches_over_the_end_of_a_page_is_on_both_in_the_order_it_was_drawn() -> None:
    sheet = Sheet("Two pages", STANDING)
    end = STANDING.page
    sheet.rect(10.0, end - 20, 30.0, 40.0)
    sheet.open("g")
    sheet.line(10.0, end + 50, 20.0, end + 10)
    sheet.shape("circle", cx=10.0, cy=end + 90, r=5.0)
    sheet.close("g")
    sheet.open("g", transform="rotate(-90 0 900)")
    sheet.line(0.0, 0.0, 5.0, 5.0)
    sheet.close("g")
    sheet.y = 1.5 * end
    first, second = (look(page) for page in windows(sheet.finish("", "").decode()))

    def kinds(picture: Picture) -> list[str]:
        """Of its shapes, without the paper's white and the feet."""
        return [
            each.tag.rpartition("}")[2] for each in picture.root.iter() if each.get("stroke") or each.get("r") or each.get("height") == "40"
        ]

    assert kinds(first) == ["rect", "line"]
    assert kinds(second) == ["rect", "line", "circle", "line"]


@pytest.mark.parametrize(
    ("element", "span"),  # by hand
    [
        ('<line y1="30" y2="10"/>', (10, 30)),
        ('<circle cy="30" r="4"/>', (26, 34)),
        ('<path d="M1 20L3 5C1 40 2 50 3 30V60H900Z"/>', (5, 60)),
        ('<path d="M1 20l3 5"/>', (-inf, inf)),  # from where it stands
        ('<path d="M1 20A9 9 0 0 1 3 20"/>', (-inf, inf)),  # beyond its ends
        ('<g transform="rotate(-90 1 2)"><line y1="1" y2="2"/></g>', (-inf, inf)),
        ('<g transform="translate(7 100) scale(0.5)"><line y1="1" y2="20"/></g>', (100.5, 110)),
        ('<g><line y1="1" y2="2"/><g><rect y="-4" height="2"/></g></g>', (-4, 2)),
        ("<g/>", (inf, -inf)),
        ("<text>far</text>", (-inf, inf)),
    ],
)
def test_how_far_an_element_reaches(element: str, span: tuple[float, float]) -> None:
    assert spanned(ET.fromstring(element)) == span  # noqa: S314  # as above

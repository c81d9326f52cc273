"""The shared style on a telephone, and on paper, where printers leave grounds out, so that nothing may be written in white."""

import pytest

from pricing.document import read
from service.documents.quotation.html import page as quotation
from service.guides import guide
from service.style import SHARED
from service.web_form.shop import STYLE as OF_THE_SHOP
from tests.documents.quotes import demo

PIECES = {
    "button.main": (SHARED, '<button class="main">Send</button>'),
    "header": (OF_THE_SHOP, "<header>Loft</header>"),
    "a": (SHARED, '<a href="#x">more</a>'),
    ".hint": (SHARED, '<p class="hint">For example</p>'),
}


@pytest.mark.parametrize("piece", PIECES)
def test_it_is_written_in_black_on_paper_and_readable_on_a_screen(show, piece):
    style, html = PIECES[piece]
    page = show(f'<!DOCTYPE html><html lang="en"><title>x</title><style>{style}</style>{html}'.encode(), scripts=True)
    written = f"getComputedStyle(document.querySelector('{piece}')).color"
    assert page.evaluate(written) != "rgb(0, 0, 0)"
    page.emulate_media(media="print")
    assert page.evaluate(written) == "rgb(0, 0, 0)"


def test_fields_and_buttons_are_as_large_as_a_finger_and_written_large_enough_for_a_telephone(show):
    """WCAG 2.2, 2.5.8 asks for 24 px; 44 px is 2.5.5 (AAA). Below 16 px telephones zoom in when a field is entered."""
    fields = '<input type="text"><input type="email"><select><option>1</select><textarea></textarea><button>Go</button>'
    page = show(
        f'<!DOCTYPE html><html lang="en"><title>x</title><style>{SHARED}</style>{fields}'.encode(),
        {"width": 360, "height": 700},
        scripts=True,
    )
    sizes = page.evaluate(
        "[...document.querySelectorAll('input, select, textarea, button')].map(e => [e.getBoundingClientRect().height, parseFloat(getComputedStyle(e).fontSize)])"
    )
    assert len(sizes) == 5
    assert all(height >= 44 and lettering >= 16 for height, lettering in sizes)


@pytest.mark.parametrize("content", [quotation(read(demo(1)), "de"), guide("documents")], ids=["quotation", "guide"])
def test_no_word_stands_letter_below_letter_on_a_telephone(show, content):
    page = show(content, {"width": 360, "height": 700}, scripts=True)
    narrow = "e => e.textContent.trim().length > 4 && e.getBoundingClientRect().width < 40 && e.getBoundingClientRect().height > 60"
    found = page.evaluate(
        f"[...document.querySelectorAll('caption, tbody th, td, dt, dd, li, p, h1, h2, h3')].filter({narrow}).map(e => e.textContent)"
    )
    assert found == []

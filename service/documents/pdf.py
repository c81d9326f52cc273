"""Sets a paper as a PDF: one of this package's Typst templates, with the paper's texts, figures and drawings as JSON data.

Text is never put into markup, so that nothing in it is executed. A template reads no file but the templates and fonts beside it, and
fetches nothing. PDFs are tagged, by PDF/UA-1 (ISO 14289-1); equal data give equal bytes.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from service.documents.glyphs import FONTS, shown
from service.documents.speech import Speech
from service.encoding import json

if TYPE_CHECKING:
    from typst import Fonts, PDFStandard

ROOT = Path(__file__).parent
FRAME = "frame.typ"
_SAID = re.compile(r'\bsay\("([^"]+)"\)')
_PAGES = re.compile(rb"/Type\s*/Pages\s*/Count (\d+)")
_NO_GLYPH = "PDF/UA-1 error"  # a cluster of characters that no single font has, or whose glyphs do not tell its characters


def pdf(template: str, data: Mapping[str, Any], speech: Speech, attached: bytes | None = None) -> bytes:
    """The paper of a template, named by its path below this folder, with `data` as its data and its own words in a language. With a file
    `attached` (UTF-8), which the template attaches, it is by PDF/A-3 as well. Raises TypstError for a fault of a template.
    """
    import typst

    complete = _with_words(template, data, speech)
    try:
        return _set(template, shown(complete), attached)
    except typst.TypstError as refused:
        if _NO_GLYPH not in refused.message:
            raise
    return _set(template, shown(complete, simply=True), attached)


def _with_words(template: str, data: Mapping[str, Any], speech: Speech) -> dict[str, Any]:
    return {**data, "words": {each: speech.say(each) for each in words_of(template)}}


@cache
def words_of(template: str) -> tuple[str, ...]:
    """The texts that a template, or the frame of all, asks for by `say("…")`."""
    return tuple(dict.fromkeys(text for path in (FRAME, template) for text in _SAID.findall((ROOT / path).read_text(encoding="utf-8"))))


def pages(template: str, data: Mapping[str, Any], speech: Speech) -> int:
    """How many pages a paper would have (ISO 32000-1, 7.7.3: the root of the page tree counts them); it is set without tags."""
    found = _PAGES.search(_set(template, shown(_with_words(template, data, speech)), None, tagged=False))
    if found is None:
        raise ValueError("the paper does not say how many pages it has")
    return int(found[1])


def _set(template: str, data: Any, attached: bytes | None, *, tagged: bool = True) -> bytes:
    import typst

    standards: list[PDFStandard] = ["ua-1"] if attached is None else ["a-3a", "ua-1"]  # PDF/A-3 may carry a file of any kind
    inputs = {"data": json.write(data).decode()} | ({} if attached is None else {"attached": attached.decode()})
    made: bytes = typst.compile(
        str(ROOT / template),
        root=str(ROOT),
        font_paths=_fonts(),
        package_path=str(FONTS),  # where there is no package: a template imports none
        package_cache_path=str(FONTS),
        format="pdf",
        sys_inputs=inputs,
        pdf_standards=standards if tagged else [],
        pdf_tags=tagged,
        timestamp=0,
    )
    return made


@cache
def _fonts() -> Fonts:
    import typst

    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(FONTS)])

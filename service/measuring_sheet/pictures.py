"""The pictures on a measuring sheet: the form's own drawings in one strip, each with its name, set by Typst and cast as PNG, since a workbook
takes no SVG.
"""

from __future__ import annotations

import json
from functools import lru_cache
from pathlib import Path

from service.documents.glyphs import FONTS
from service.web_form.illustrations import NAMES, alternative, illustration

WIDTH_MM, HEIGHT_MM = 256.0, 27.0
_TEMPLATE = Path(__file__).parent / "pictures.typ"
_PER_INCH = 150  # pixels: what a printer shows of a line drawing
SHOWN = tuple(name for name in NAMES if "-" not in name)


@lru_cache(maxsize=4)
def pictures(language: str) -> tuple[bytes, tuple[int, int]]:
    """The strip as PNG, and its size in pixels, across and down."""
    import typst

    shown = [{"name": _name(each, language), "svg": illustration(each, language).decode()} for each in SHOWN]
    data = {"width": WIDTH_MM, "height": HEIGHT_MM, "pictures": shown}
    fonts = typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(FONTS)])
    made = typst.compile(
        str(_TEMPLATE), root=str(_TEMPLATE.parent), font_paths=fonts, package_path=str(FONTS), package_cache_path=str(FONTS),
        format="png", ppi=_PER_INCH, sys_inputs={"data": json.dumps(data)},
    )  # fmt: skip
    image = bytes(made)
    return image, (int.from_bytes(image[16:20]), int.from_bytes(image[20:24]))  # PNG (ISO/IEC 15948), 11.2.2: the header's width and height


def description(language: str) -> str:
    """The strip's text alternative: the names of its pictures."""
    return "; ".join(_name(each, language) for each in SHOWN)


def _name(picture: str, language: str) -> str:
    return alternative(picture, language)[0].rstrip(".")

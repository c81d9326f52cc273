"""An assembly's drawing as pictures of a page each, for a document that must not be cut in the middle of a figure."""

from __future__ import annotations

import base64
import re
from math import ceil

from service.documents.drafting.sheet import STANDING, number
from service.documents.rig.terms import Document

_SIZE = re.compile(r'width="\d+mm" height="[\d.]+mm" viewBox="0 0 [\d.]+ (?P<height>[\d.]+)"')


def pages(svg: bytes) -> list[Document]:
    """The drawing's pages, each as an address of its own that holds it (RFC 2397)."""
    text = svg.decode()
    found = _SIZE.search(text)
    if found is None:
        raise ValueError("the drawing does not say its size")
    height = float(found["height"])
    return [{"src": _window(text, found, top * STANDING.page, height)} for top in range(max(1, ceil(height / STANDING.page)))]


def _window(text: str, size: re.Match[str], top: float, height: float) -> str:
    """The drawing through a window from `top` down, no higher than a page."""
    high = min(STANDING.page, height - top)
    shown = (
        f'width="{STANDING.width_mm}mm" height="{number(high / STANDING.width * STANDING.width_mm)}mm" '
        f'viewBox="0 {number(top)} {number(STANDING.width)} {number(high)}"'
    )
    whole = text[: size.start()] + shown + text[size.end() :]
    return address_of(whole.encode())


def address_of(svg: bytes) -> str:
    """An address that holds the picture itself (RFC 2397)."""
    return f"data:image/svg+xml;base64,{base64.b64encode(svg).decode()}"

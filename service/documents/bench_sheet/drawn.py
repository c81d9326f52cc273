"""An assembly's drawing as one image per page, for documents that must not be cut through a figure."""

from __future__ import annotations

import base64

from service.documents.svg.windows import windows


def pages(svg: bytes) -> list[dict[str, str]]:
    """The drawing's pages, each as a data URL (RFC 2397)."""
    return [{"src": address_of(each.encode())} for each in windows(svg.decode())]


def address_of(svg: bytes) -> str:
    """A data URL containing the image (RFC 2397)."""
    return f"data:image/svg+xml;base64,{base64.b64encode(svg).decode()}"

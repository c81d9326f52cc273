"""What a request may contain. The schemas define it; `read_request` is the entry point."""

from __future__ import annotations

from service.schemas.request import SHAPE, read_request, request_of_earlier

__all__ = ["SHAPE", "read_request", "request_of_earlier"]

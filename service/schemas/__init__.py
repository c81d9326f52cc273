"""What a request may say. The schemas are the law; `read_request` is the door."""

from __future__ import annotations

from service.schemas.request import SHAPE, read_request

__all__ = ["SHAPE", "read_request"]

"""Reads and makes measuring sheets in a process that can be killed, since the work a file takes is only known once it is read."""

from __future__ import annotations

from collections.abc import Collection

from service.computing.asking import apart_if, computed
from service.computing.weight import MOST_USUAL
from service.engine.engine import Engine
from service.http.current import price_lists
from service.measuring_sheet.answer import Answer, answered
from service.measuring_sheet.blank import blank
from service.measuring_sheet.layout import Wanted


def sheet_answer(body: bytes, media: str, language: str) -> Answer:
    """The result of reading a measuring sheet, always in a separate process."""
    return computed(True, sheet, body, media, language, price_lists())


def blank_sheet(media: str, wanted: Wanted) -> bytes:
    """A measuring sheet to be filled in."""
    return apart_if(wanted.wires > MOST_USUAL, blank_bytes, media, wanted)


def sheet(engine: Engine, body: bytes, media: str, language: str, price_lists: Collection[str]) -> Answer:
    """The same, as run in that process."""
    return answered(engine, body, media, language, price_lists)


def blank_bytes(engine: Engine, media: str, wanted: Wanted) -> bytes:
    """The same, as run in that process."""
    return blank(engine.offered, media, wanted)

"""Estimates from counts how much computation a request takes: small ones run in the calling thread, since handing them over takes time too."""

from __future__ import annotations

from pricing.measurement.assembly import QuoteRequest, WireSpec
from pricing.measurement.wire import USUAL_MATERIAL
from service.engine.engine import Engine

#: Largest body, in bytes, that a request thread parses itself: a boat of some thirty wires, described in full.
SMALL_BODY = 32_768
#: Largest compressed quote and plan, in bytes, whose documents a request thread renders itself: some fifty wires.
SMALL_DOCUMENT, SMALL_PLAN = 24_576, 4_096
#: The same, unpacked: text that repeats itself packs small.
SMALL_TEXT = 524_288
#: How many of these bytes may be other than ASCII: letters with separate combining accents take ten times as long to set. German has a few hundred.
SMALL_SHAPED = 16_384
#: Wires in a request, including pairs and spares: a boat has about a dozen.
MOST_USUAL = 40
#: Pieces of wire bought for the job: up to this many, the planner tries every way to divide them among the lengths to buy
#: (`pricing.cutting.table`); with more it may use up all its steps, which takes half a second.
MOST_FOR_THE_JOB = 12

_ASCII = bytes(range(128))


def is_heavy(engine: Engine, asked: QuoteRequest) -> bool:
    """Whether a quote should be computed in a separate process."""
    if sum(each.quantity for each in asked.assemblies) > MOST_USUAL:
        return True
    return sum(each.quantity for each in asked.assemblies if _may_be_bought(engine, each.wire)) > MOST_FOR_THE_JOB


def is_heavy_to_set(packed: bytes, body: bytes, most: int) -> bool:
    """Whether papers of a quote or plan should be set in a separate process. `packed` is its document, `body` all that it says, in UTF-8;
    `most` is SMALL_DOCUMENT or SMALL_PLAN.
    """
    return len(packed) > most or len(body) > SMALL_TEXT or len(body.translate(None, _ASCII)) > SMALL_SHAPED


def _may_be_bought(engine: Engine, wire: WireSpec) -> bool:
    """Whether the wire is, or may be, bought for the job: if its size or its catalogue row is not known yet, it may be."""
    if wire.diameter is None:
        return True
    row = engine.catalogue.wire(wire.construction, wire.material or USUAL_MATERIAL, wire.diameter)
    return row is None or row.bought == "for_the_job"

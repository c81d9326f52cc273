"""`demo [NAME]`: quote a demo request without a server."""

from __future__ import annotations

import orjson

from pricing.document import rendered
from service.cli.out import say
from service.demo import demo_request
from service.engine.engine import open_engine
from service.http.bodies import decoded
from service.schemas import read_request
from service.settings import Settings


def demo(settings: Settings, name: str) -> int:
    """Compute and print the quote. Raises TableError."""
    engine = open_engine(settings)
    request = read_request(decoded(demo_request(name)), engine.known_price_lists())
    return say(orjson.dumps(rendered(engine.quote(request)), option=orjson.OPT_INDENT_2).decode())

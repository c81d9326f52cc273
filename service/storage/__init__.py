"""Database access: SQLite by default, PostgreSQL by URL. Plain SQL expressions, no object mapping."""

from __future__ import annotations

from service.storage.batches import Batches, Line, Progress
from service.storage.catalogue_editions import Edition, Editions
from service.storage.chunks import Chunk, Chunks
from service.storage.endpoints import Endpoint, Endpoints
from service.storage.expiries import Expiries
from service.storage.figures import Figures
from service.storage.idempotency import IdempotencyStore
from service.storage.keys import Keys
from service.storage.lifecycle import Change, Event, Lifecycles
from service.storage.messages import ClaimedMessage, Messages
from service.storage.plans import Plans, StoredPlan
from service.storage.quotes import NoQuote, Packed, Quotes
from service.storage.records import Stored, Summary, moment
from service.storage.schema_version import State, WrongSchema, migrate
from service.storage.shelves import NotMoved, Shelves
from service.storage.staff import Staff

__all__ = [
    "Batches",
    "Change",
    "Chunk",
    "Chunks",
    "ClaimedMessage",
    "Edition",
    "Editions",
    "Endpoint",
    "Endpoints",
    "Event",
    "Expiries",
    "Figures",
    "IdempotencyStore",
    "Keys",
    "Lifecycles",
    "Line",
    "Messages",
    "NoQuote",
    "NotMoved",
    "Packed",
    "Plans",
    "Progress",
    "Quotes",
    "Shelves",
    "Staff",
    "State",
    "Stored",
    "StoredPlan",
    "Summary",
    "WrongSchema",
    "migrate",
    "moment",
]  # fmt: skip

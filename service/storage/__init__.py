"""Quotes in a database: SQLite by default, PostgreSQL by URL. Statements only, no objects mapped."""

from __future__ import annotations

from service.storage.answers import Answers
from service.storage.batches import Batches, Line, Progress
from service.storage.chunks import Chunk, Chunks
from service.storage.editions import Edition, Editions
from service.storage.endpoints import Endpoint, Endpoints
from service.storage.expiries import Expiries
from service.storage.keys import Keys
from service.storage.life import Event, Lives
from service.storage.messages import Held, Letter, Messages
from service.storage.migrating import State, WrongSchema, migrate
from service.storage.plans import Plans, StoredPlan
from service.storage.quotes import NoQuote, Packed, Quotes
from service.storage.records import Stored, Summary, moment
from service.storage.renditions import Renditions
from service.storage.shelves import NotMoved, Shelf, Shelves

__all__ = [
    "Answers",
    "Batches",
    "Chunk",
    "Chunks",
    "Edition",
    "Editions",
    "Endpoint",
    "Endpoints",
    "Event",
    "Expiries",
    "Held",
    "Keys",
    "Letter",
    "Line",
    "Lives",
    "Messages",
    "NoQuote",
    "NotMoved",
    "Packed",
    "Plans",
    "Progress",
    "Quotes",
    "Renditions",
    "Shelf",
    "Shelves",
    "State",
    "Stored",
    "StoredPlan",
    "Summary",
    "WrongSchema",
    "migrate",
    "moment",
]  # fmt: skip

"""Quotes in a database: SQLite by default, PostgreSQL by URL. Statements only, no objects mapped."""

from __future__ import annotations

from service.storage.answers import Answers
from service.storage.editions import Edition, Editions
from service.storage.keys import Keys
from service.storage.life import Event, Lives, NoQuote
from service.storage.migrating import State, WrongSchema, migrate
from service.storage.plans import Plans, StoredPlan
from service.storage.quotes import Quotes
from service.storage.records import Stored, Summary, moment
from service.storage.renditions import Renditions
from service.storage.shelves import NotMoved, Shelf, Shelves

__all__ = [
    "Answers", "Edition", "Editions", "Event", "Keys", "Lives", "NoQuote", "NotMoved", "Plans", "Quotes", "Renditions", "Shelf", "Shelves", "State", "Stored", "StoredPlan", "Summary", "WrongSchema", "migrate", "moment",
]  # fmt: skip

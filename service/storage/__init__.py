"""Quotes in a database: SQLite by default, PostgreSQL by URL. Statements only, no objects mapped."""

from __future__ import annotations

from service.storage.plans import Plans, StoredPlan
from service.storage.quotes import Quotes, Stored, Summary
from service.storage.tables import create_tables

__all__ = ["Plans", "Quotes", "Stored", "StoredPlan", "Summary", "create_tables"]

"""Quotes in a database: SQLite by default, PostgreSQL by URL. Statements only, no objects mapped."""

from __future__ import annotations

from service.storage.quotes import Quotes, Stored, Summary
from service.storage.tables import create_tables

__all__ = ["Quotes", "Stored", "Summary", "create_tables"]

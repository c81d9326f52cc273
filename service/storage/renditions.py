"""Documents that take long to make, kept as they were made. Nothing is lost with them: each can be made again from its quote."""

from __future__ import annotations

from sqlalchemy import Connection, delete, select

from service.storage.database import Database
from service.storage.quotes import one
from service.storage.records import moment
from service.storage.tables import renditions

MOST_KEPT = 2000


class Renditions:
    """The made documents of one database: for each quote the newest of each kind, at most `MOST_KEPT` together."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def get(self, quote_id: str, document: str, made_of: str) -> bytes | None:
        """The document, if it was made of this very state of its quote and by these very makers."""
        query = select(renditions.c.content).where(
            renditions.c.quote_id == quote_id, renditions.c.document == document, renditions.c.made_of == made_of
        )
        with self._database.reading() as connection:
            found = connection.execute(query).scalar_one_or_none()
        return None if found is None else bytes(found)

    def has(self, quote_id: str, document: str, made_of: str) -> bool:
        """Whether `get` would find it."""
        query = select(renditions.c.made).where(
            renditions.c.quote_id == quote_id, renditions.c.document == document, renditions.c.made_of == made_of
        )
        with self._database.reading() as connection:
            return connection.execute(query).first() is not None

    def keep(self, quote_id: str, document: str, made_of: str, checksum: str, content: bytes) -> None:
        """Keep it in place of the one before, unless the quote's content (`checksum`) changed meanwhile: its customer may have been erased."""
        with self._database.writing() as connection:
            stored = one(connection, quote_id, hold=True)
            if stored is None or stored.checksum != checksum:
                return
            forget(connection, quote_id, document)
            row = {"quote_id": quote_id, "document": document, "made_of": made_of, "made": moment(), "content": content}
            connection.execute(renditions.insert(), [row])
            _prune(connection)


def forget(connection: Connection, quote_id: str, document: str | None = None) -> None:
    """Delete what is kept of a quote, of one kind or of all."""
    which = renditions.c.quote_id == quote_id
    connection.execute(delete(renditions).where(which if document is None else which & (renditions.c.document == document)))


def _prune(connection: Connection) -> None:
    oldest = select(renditions.c.made).order_by(renditions.c.made.desc()).offset(MOST_KEPT - 1).limit(1).scalar_subquery()
    connection.execute(delete(renditions).where(renditions.c.made < oldest))

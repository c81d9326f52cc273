"""The current time, by the one clock that all users of a database share: the server's own, or that of this machine, where the file is.

It is used for display and scheduling. Protection against lost or duplicated work does not depend on the time of day: see
`leases.py`.
"""

from __future__ import annotations

import time

from sqlalchemy import ColumnElement, Connection, Float, literal, literal_column, select

_SERVERS = literal_column("CAST(extract(epoch FROM clock_timestamp()) AS double precision)", Float)


def now(connection: Connection) -> float:
    """The time in seconds since 1970."""
    return time.time() if connection.dialect.name == "sqlite" else float(connection.execute(select(_SERVERS)).scalar_one())


def moment_in(connection: Connection) -> ColumnElement[float]:
    """The same as an SQL expression, which saves a round trip."""
    return literal(time.time()) if connection.dialect.name == "sqlite" else _SERVERS

"""The schema version: which one a database has, what that means, and how to bring it to this release's.

Alembic is only imported if there is something to do, so that an ordinary start does not pay for it.
"""

from __future__ import annotations

from enum import Enum
from pathlib import Path

from sqlalchemy import Connection, Engine, inspect, text

from service.storage.engines import WRITES

MIGRATIONS = Path(__file__).parent / "migrations"
FIRST_COLUMNS = frozenset({
    "id", "number", "revision", "status", "created", "issued_on", "valid_until", "currency", "payable", "catalogue_version",
    "price_version", "checksum", "document", "request",
})  # fmt: skip
_ADVISORY_LOCK = 7_249_501_183  # arbitrary, as long as nothing else in the database uses it


class State(Enum):
    """The state of a database's schema relative to this release."""

    EMPTY = "empty"
    UNNUMBERED = "unnumbered"
    BEHIND = "behind"
    CURRENT = "current"
    AHEAD = "ahead"
    FOREIGN = "foreign"


REMEDIES = {
    State.EMPTY: "The database has no tables: run `python -m service migrate`.",
    State.UNNUMBERED: "The database is from an earlier release: make a backup and run `python -m service migrate`.",
    State.BEHIND: "The database is from an earlier release: make a backup and run `python -m service migrate`.",
    State.AHEAD: "The database is from a later release: run that release, or restore a backup made with this one into another database.",
    State.FOREIGN: "The database has tables of these names that are not the service's: name another database.",
}


class WrongSchema(RuntimeError):
    """A database whose tables are not this release's; says what to do."""

    def __init__(self, state: State) -> None:
        super().__init__(REMEDIES[state])
        self.state = state


def known_revisions() -> tuple[str, ...]:
    """The schema versions that this release knows, oldest first."""
    return tuple(sorted(path.name[1:5] for path in (MIGRATIONS / "versions").glob("v[0-9]*.py")))


HEAD = known_revisions()[-1]


def state_of(connection: Connection) -> State:
    """The schema's state relative to this release."""
    looked = inspect(connection)
    if looked.has_table("alembic_version"):
        found = connection.execute(text("SELECT version_num FROM alembic_version")).scalar_one_or_none()
        if found is not None:
            return State.CURRENT if found == HEAD else State.BEHIND if found in known_revisions() else State.AHEAD
    names = set(looked.get_table_names()) & {"quotes", "counters"}
    if not names:
        return State.EMPTY
    alike = names == {"quotes", "counters"} and {column["name"] for column in looked.get_columns("quotes")} == FIRST_COLUMNS
    return State.UNNUMBERED if alike else State.FOREIGN


def check(connection: Connection) -> None:
    """Raises WrongSchema unless the tables are this release's; a single lookup if they are."""
    state = state_of(connection)
    if state is not State.CURRENT:
        raise WrongSchema(state)


def migrate(engine: Engine, to: str = HEAD) -> State:
    """Migrate the schema to a version, in one transaction, one process at a time; returns its previous state. Raises WrongSchema."""
    with engine.connect().execution_options(**{WRITES: True}) as connection, connection.begin():
        if connection.dialect.name == "postgresql":
            connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": _ADVISORY_LOCK})
        state = state_of(connection)
        if state in (State.AHEAD, State.FOREIGN):
            raise WrongSchema(state)
        if state is not State.CURRENT:
            _upgrade(connection, state, to)
    return state


def _upgrade(connection: Connection, state: State, to: str) -> None:
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    config.attributes["connection"] = connection
    if state is State.UNNUMBERED:
        command.stamp(config, known_revisions()[0])  # the release before schema numbers had the first schema
    command.upgrade(config, to)

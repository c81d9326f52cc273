"""The shop's staff, their sign-in links and their sessions. A session that has ended is deleted, so a clock set back cannot revive it."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from sqlalchemy import Connection, bindparam, or_, select

from service.credentials.people import IDLE, LASTS, LINK_LASTS, Person, Role, Session, digest_of, new_id, new_secret
from service.storage.clock import now
from service.storage.database import Database
from service.storage.records import moment
from service.storage.tables import desk_sessions, sign_in_links, staff

SEEN_EVERY = timedelta(minutes=5).total_seconds()


class Staff:
    """The shop's staff in one database. All methods may raise SQLAlchemyError."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def every(self) -> list[Person]:
        """All staff, including former ones, oldest first."""
        with self._database.reading() as connection:
            return [_person(row) for row in connection.execute(_EVERY)]

    def named(self, handles: set[str]) -> dict[str, str]:
        """The names of the people with these ids, by id; unknown ids are left out."""
        return {each.id: each.name for each in self.every() if each.id in handles} if handles else {}

    def add(self, name: str, role: Role) -> Person:
        """Add a person and return them."""
        person = Person(new_id(), name, role, moment())
        row = {"id": person.id, "name": name, "role": role.value, "created_at": person.created_at}
        with self._database.writing() as connection:
            connection.execute(staff.insert(), [row])
        return person

    def end(self, person_id: str) -> None:
        """End a person's access: they can no longer sign in, and are signed out everywhere."""
        with self._database.writing() as connection:
            connection.execute(_END, {"of": person_id, "at": moment()})
            connection.execute(sign_in_links.delete().where(sign_in_links.c.person == person_id))
            connection.execute(desk_sessions.delete().where(desk_sessions.c.person == person_id))

    def make_link(self, person_id: str, by: str | None = None) -> str:
        """Create a sign-in link, replacing any unused one for the same person, and return its secret."""
        secret = new_secret()
        with self._database.writing() as connection:
            connection.execute(_STAFF.with_for_update(), {"of": person_id})  # so that only one of two links made at once is valid
            until = now(connection) + LINK_LASTS.total_seconds()
            connection.execute(sign_in_links.delete().where(sign_in_links.c.person == person_id))
            row = {"digest": digest_of(secret), "person": person_id, "until": until, "made_by": by}
            connection.execute(sign_in_links.insert(), [row])
        return secret

    def sign_in(self, link: str) -> str | None:
        """Use up a valid sign-in link and return the secret of a new session. None for any other link, without writing anything: anyone can send
        links, and a write transaction waits for all other writers.
        """
        with self._database.reading() as connection:
            if connection.execute(_LINK, {"of": digest_of(link)}).one_or_none() is None:
                return None
        with self._database.writing() as connection:
            at = now(connection)
            row = connection.execute(_LINK.with_for_update(of=sign_in_links), {"of": digest_of(link)}).one_or_none()
            taken = connection.execute(sign_in_links.delete().where(sign_in_links.c.digest == digest_of(link))).rowcount
            if row is None or taken != 1 or row.until < at or row.ended_at is not None:
                return None
            self._forget_old(connection, at)
            secret = new_secret()
            session = {"digest": digest_of(secret), "id": new_id(), "person": row.person, "created_at": at, "seen_at": at}
            connection.execute(desk_sessions.insert(), [session])
            return secret

    def session(self, secret: str) -> Session | None:
        """The session with this secret, if it is still valid. The time it was last seen is stored every few minutes."""
        with self._database.reading() as connection:
            row = connection.execute(_SESSION, {"of": digest_of(secret)}).one_or_none()
            at = now(connection)
        if row is None or row.ended_at is not None:
            return None
        if not _good(row, at):
            self.sign_out(row.session_id)  # so that it stays ended even if a clock is set back
            return None
        if at - row.seen_at > SEEN_EVERY:
            with self._database.writing() as connection:
                connection.execute(_SEEN, {"of": digest_of(secret), "at": at})
        return _session(row)

    def sessions(self) -> list[Session]:
        """All valid sessions, the most recently seen first."""
        with self._database.reading() as connection:
            rows = connection.execute(_SESSIONS).all()
            at = now(connection)
        return [_session(row) for row in rows if row.ended_at is None and _good(row, at)]

    def choose_language(self, session_id: str, language: str) -> None:
        """Set the language of a session."""
        with self._database.writing() as connection:
            connection.execute(_LANGUAGE, {"of": session_id, "language": language})

    def sign_out(self, session_id: str) -> bool:
        """End a session; False if there is none."""
        with self._database.writing() as connection:
            return connection.execute(desk_sessions.delete().where(desk_sessions.c.id == session_id)).rowcount == 1

    def _forget_old(self, connection: Connection, at: float) -> None:
        connection.execute(sign_in_links.delete().where(sign_in_links.c.until < at))
        old = or_(desk_sessions.c.seen_at < at - IDLE.total_seconds(), desk_sessions.c.created_at < at - LASTS.total_seconds())
        connection.execute(desk_sessions.delete().where(old))


_EVERY = select(staff).order_by(staff.c.created_at, staff.c.id)
_END = staff.update().where(staff.c.id == bindparam("of"), staff.c.ended_at.is_(None)).values(ended_at=bindparam("at"))
_STAFF = select(staff.c.id).where(staff.c.id == bindparam("of"))
_LINK = (
    select(sign_in_links.c.person, sign_in_links.c.until, staff.c.ended_at)
    .join(staff, staff.c.id == sign_in_links.c.person)
    .where(sign_in_links.c.digest == bindparam("of"))
)
_SESSIONS = (
    select(
        desk_sessions.c.id.label("session_id"), desk_sessions.c.created_at.label("begun"), desk_sessions.c.seen_at, desk_sessions.c.language,
        staff,
    )
    .join(staff, staff.c.id == desk_sessions.c.person)
    .order_by(desk_sessions.c.seen_at.desc(), desk_sessions.c.id)
)  # fmt: skip
_SESSION = _SESSIONS.where(desk_sessions.c.digest == bindparam("of"))
_SEEN = desk_sessions.update().where(desk_sessions.c.digest == bindparam("of")).values(seen_at=bindparam("at"))
_LANGUAGE = desk_sessions.update().where(desk_sessions.c.id == bindparam("of")).values(language=bindparam("language"))


def _good(row: Any, at: float) -> bool:
    return bool(row.seen_at >= at - IDLE.total_seconds() and row.begun >= at - LASTS.total_seconds())


def _person(row: Any) -> Person:
    return Person(row.id, row.name, Role(row.role), row.created_at, row.ended_at)


def _session(row: Any) -> Session:
    return Session(row.session_id, _person(row), row.begun, row.seen_at, row.language)

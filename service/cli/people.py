"""`people add|link|list|sign-out|end`: the shop's people who sign in at the desk, and their sessions."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime

from service.cli.out import Refused, confirm, say
from service.cli.schema import prepare_schema
from service.credentials.people import LINK_LASTS, MOST_NAME, Person, Role
from service.settings import Settings
from service.storage import Quotes, Staff

_MINUTES = int(LINK_LASTS.total_seconds() // 60)


def add(settings: Settings, name: str, role: str) -> int:
    """Add someone and print a sign-in link. Raises Refused, SQLAlchemyError, WrongSchema, as do all functions here."""
    if not 1 <= len(name.strip()) <= MOST_NAME or not name.isprintable():
        raise Refused(f"NAME must have 1 to {MOST_NAME} characters on one line")
    with _opened(settings) as staff:
        if any(each.name.casefold() == name.strip().casefold() for each in _current(staff)):
            raise Refused(
                f"there is a {name.strip()} already: `people link` makes a new link; two people need two names, as records name them"
            )
        person = staff.add(name.strip(), Role(role))
        return _link(settings, staff, person)


def link(settings: Settings, person_id: str) -> int:
    """Print a new sign-in link for someone; one made before is no longer good."""
    with _opened(settings) as staff:
        return _link(settings, staff, _named(staff, person_id))


def listed(settings: Settings) -> int:
    """Print one line per person, and one per session."""
    with _opened(settings) as staff:
        every, sessions = staff.every(), staff.sessions()
    for each in every:
        state = f"ended {each.ended_at[:10]}" if each.ended_at else "live"
        say(f"{each.id}  {each.role:<8}  since {each.created_at[:10]}  {state:<16}  {each.name}")
        for one in sessions:
            if one.person.id == each.id:
                say(f"    session {one.id}  begun {_time(one.created_at)}  last seen {_time(one.seen_at)}")
    return 0


def sign_out(settings: Settings, session_id: str) -> int:
    """End a session at once."""
    with _opened(settings) as staff:
        if not staff.sign_out(session_id):
            raise Refused(f"there is no session {session_id}: `people list` lists them")
    return say(f"The session {session_id} has ended.")


def end(settings: Settings, person_id: str, *, sure: bool) -> int:
    """End someone's access, and all of their sessions, at once."""
    with _opened(settings) as staff:
        person = _named(staff, person_id)
        confirm(f"End the access of {person.name}? They are signed out everywhere. This cannot be undone.", sure=sure)
        staff.end(person.id)
    return say(f"{person.name} can no longer sign in, and is signed out everywhere. What they did keeps their name until that is erased.")


def _link(settings: Settings, staff: Staff, person: Person) -> int:
    base = settings.base_url or settings.address
    say(f"{base}/desk/sign-in?link={staff.make_link(person.id)}")
    return say(f"{person.name} ({person.role}) signs in by it once, within {_MINUTES} minutes. Send it to nobody else.")


@contextmanager
def _opened(settings: Settings) -> Iterator[Staff]:
    with closing(Quotes(settings.database_url, 1)) as store:
        prepare_schema(store)
        yield Staff(store)


def _current(staff: Staff) -> list[Person]:
    return [each for each in staff.every() if each.ended_at is None]


def _named(staff: Staff, who: str) -> Person:
    """The person with this id or name."""
    matches = [each for each in _current(staff) if who in (each.id, each.name)]
    if not matches:
        raise Refused(f"there is nobody with the id or the name {who}: `people list` lists them")
    return matches[0]


def _time(seconds: float) -> str:
    return datetime.fromtimestamp(seconds, UTC).isoformat(timespec="minutes").replace("+00:00", "Z")

"""`webhooks add|list|remove|rotate|test|failed|resend`: manage the endpoints that are notified of quotes and batches, and undelivered
messages.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from typing import NamedTuple
from urllib.parse import urlsplit

from service.cli.out import WRONG, Refused, confirm, say
from service.cli.schema import prepare_schema
from service.engine.engine import open_engine
from service.lifecycle.events import CHOOSABLE, EventType, body
from service.settings import Settings
from service.storage import Endpoint, Endpoints, Messages, Quotes, moment
from service.storage.ids import new_id
from service.webhooks.delivery import MOST_ENDPOINTS, Sender
from service.webhooks.signing import new_secret, spelled
from service.webhooks.target import NoTarget

ONCE = "It is shown only once: save it where the receiver verifies signatures."


class _Stored(NamedTuple):
    settings: Settings
    endpoints: Endpoints
    messages: Messages

    @property
    def sender(self) -> Sender:
        return Sender(self.settings.webhook_seconds, private=self.settings.webhook_private)


def add(settings: Settings, url: str, events: str) -> int:
    """Add an endpoint. Raises Refused, SQLAlchemyError, WrongSchema, as do all functions here; and TableError, since the shop's date
    depends on its tables.
    """
    named = {each.strip() for each in events.split(",") if each.strip()}
    if not named or named - set(CHOOSABLE):
        raise Refused(f"--events must be of {', '.join(CHOOSABLE)}, with commas between them")
    with _opened(settings) as stored:
        if len(stored.endpoints.live()) >= MOST_ENDPOINTS:
            raise Refused(f"there are {MOST_ENDPOINTS} endpoints already: remove one")
        try:
            stored.sender.check(url)
        except NoTarget as error:
            raise Refused(f"nothing can be sent to this address: {error}") from None
        secret = new_secret()
        made = stored.endpoints.add(url, [EventType(each) for each in named], secret, open_engine(settings).today())
    return say(f"{made}\n{spelled(secret)}\n{ONCE}")


def listed(settings: Settings) -> int:
    """Print one line per endpoint."""
    with _opened(settings) as stored:
        counts, every = stored.messages.counts(), stored.endpoints.every()
    if not every:
        return say("There is no endpoint: `webhooks add URL` makes one.")
    for each in every:
        state = "live" if each.removed_at is None else f"ended {each.removed_at[:10]}: {each.why}"
        waiting, dead = counts.get((each.id, "waiting"), 0), counts.get((each.id, "dead"), 0)
        say(f"{each.id}  {each.created_at[:10]}  {waiting} waiting  {dead} failed  {state}  {_shown(each.url)}  {' '.join(each.events)}")
    return 0


def remove(settings: Settings, endpoint_id: str, *, sure: bool) -> int:
    """Remove an endpoint."""
    with _opened(settings) as stored:
        endpoint = _named(stored, endpoint_id)
        confirm(f"Send nothing to {_shown(endpoint.url)} any more, not even the messages that wait?", sure=sure)
        stored.endpoints.remove(endpoint.id, "removed by the shop")
    return say(f"{endpoint.id} is removed: nothing is sent there any more.")


def rotate(settings: Settings, endpoint_id: str, keep_hours: int, *, sure: bool) -> int:
    """Give an endpoint a new secret."""
    with _opened(settings) as stored:
        endpoint, secret = _named(stored, endpoint_id), new_secret()
        confirm(f"Give {_shown(endpoint.url)} a new secret? The old one stays valid for {keep_hours} hours.", sure=sure)
        stored.endpoints.rotate(endpoint.id, secret, time.time() + 3600 * keep_hours)
    return say(f"{spelled(secret)}\n{ONCE}\nMessages are signed with the old one as well for {keep_hours} hours.")


def test(settings: Settings, endpoint_id: str) -> int:
    """Send a test message now, once; returns 2 if it did not arrive."""
    with _opened(settings) as stored:
        endpoint = _named(stored, endpoint_id)
        came = stored.sender.send(endpoint, new_id(), body(EventType.TEST, moment(), {"endpoint_id": endpoint.id}))
    say(f"{'It arrived' if came.arrived else 'It did not arrive'}: {came.words}.")
    return 0 if came.arrived else WRONG


def failed(settings: Settings) -> int:
    """Print one line per message that was given up."""
    with _opened(settings) as stored:
        dead = stored.messages.dead()
    if not dead:
        return say("No message has failed for good.")
    for each in dead:
        say(f"{each.id}  {each.endpoint_id}  {each.created_at}  {each.event:<16}  {each.attempts} attempts  {each.answer}")
    return 0


def resend(settings: Settings, given: str, *, sure: bool) -> int:
    """Resend a message, or all messages that failed for good at an endpoint."""
    with _opened(settings) as stored:
        confirm(f"Deliver {given} again: that message, or all that failed for that endpoint?", sure=sure)
        count = stored.messages.send_again(given)
    if not count:
        raise Refused(
            f"nothing can be sent again for {given}: give the id of a message that failed (`webhooks failed`), or of an endpoint that "
            "has such messages and was not removed"
        )
    return say(f"{count} message(s) will be delivered again.")


@contextmanager
def _opened(settings: Settings) -> Iterator[_Stored]:
    with closing(Quotes(settings.database_url, 1)) as store:
        prepare_schema(store)
        yield _Stored(settings, Endpoints(store), Messages(store, 0))


def _shown(url: str) -> str:
    """The URL without its query, where people put secrets."""
    return urlsplit(url)._replace(query="").geturl() + ("?..." if "?" in url else "")


def _named(stored: _Stored, endpoint_id: str) -> Endpoint:
    matches = [each for each in stored.endpoints.live() if each.id == endpoint_id]
    if not matches:
        raise Refused(f"there is no endpoint {endpoint_id}: `webhooks list` lists them")
    return matches[0]

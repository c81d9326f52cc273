"""`webhooks add|list|remove|rotate|test|failed|resend`: where the shop's own systems are told of quotes and batches, and what never arrived."""

from __future__ import annotations

import argparse
import time
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from typing import NamedTuple
from urllib.parse import urlsplit

from service.commands.arguments import Misused, Parser
from service.commands.out import WRONG, refuse, say
from service.commands.schema import brought_up
from service.engine import open_engine
from service.hooks.courier import MOST_ENDPOINTS, Sender
from service.hooks.events import CHOOSABLE, Event, body
from service.hooks.signing import new_secret, spelled
from service.hooks.target import NoTarget
from service.settings import Settings
from service.storage import Endpoint, Endpoints, Messages, Quotes, moment
from service.storage.ids import new_id

ONCE = "It is shown this once: put it where the receiver verifies with it."


class _Kept(NamedTuple):
    settings: Settings
    endpoints: Endpoints
    messages: Messages

    @property
    def sender(self) -> Sender:
        return Sender(self.settings.webhook_seconds, private=self.settings.webhook_private)


def webhooks(settings: Settings, arguments: Sequence[str]) -> int:
    """Look after the endpoints. Raises SQLAlchemyError, WrongSchema; TableError, since the shop's day depends on its tables."""
    try:
        asked = _parser().parse_args(arguments)
        with _opened(settings) as kept:
            return int(asked.act(kept, asked))
    except Misused as error:
        return refuse(str(error))


@contextmanager
def _opened(settings: Settings) -> Iterator[_Kept]:
    with closing(Quotes(settings.database_url, 1)) as store:
        brought_up(store)
        yield _Kept(settings, Endpoints(store), Messages(store, 0))


def _parser() -> argparse.ArgumentParser:
    parser = Parser(prog="python -m service webhooks")
    acts = parser.add_subparsers(required=True, metavar="add | list | remove | rotate | test | failed | resend")
    add = acts.add_parser("add", help="a new endpoint")
    add.add_argument("url", help="https://...")
    add.add_argument("--events", default=",".join(CHOOSABLE), help=f"with commas between them, of {', '.join(CHOOSABLE)}; without: all")
    add.set_defaults(act=_add)
    acts.add_parser("list", help="every endpoint, with how many messages wait and were given up").set_defaults(act=_list)
    remove = acts.add_parser("remove", help="send nothing there any more")
    remove.set_defaults(act=_remove)
    rotate = acts.add_parser("rotate", help="a new secret; until the receiver has it, messages are signed with both")
    rotate.add_argument(
        "--keep-hours", type=int, default=24, choices=range(169), metavar="0-168", help="how long to sign with the old one as well; 24"
    )
    rotate.set_defaults(act=_rotate)
    test = acts.add_parser("test", help="send a message of the type webhook.test there now, once")
    test.set_defaults(act=_test)
    acts.add_parser("failed", help="the messages that were given up").set_defaults(act=_failed)
    resend = acts.add_parser("resend", help="deliver a message again, or all that was given up for an endpoint")
    resend.set_defaults(act=_resend)
    for each in (remove, rotate, test, resend):
        each.add_argument("id")
    return parser


def _add(kept: _Kept, asked: argparse.Namespace) -> int:
    named = {each.strip() for each in asked.events.split(",") if each.strip()}
    if not named or named - set(CHOOSABLE):
        raise Misused(f"--events takes {', '.join(CHOOSABLE)}, with commas between them")
    if len(kept.endpoints.live()) >= MOST_ENDPOINTS:
        raise Misused(f"there are {MOST_ENDPOINTS} endpoints already: remove one")
    try:
        kept.sender.check(asked.url)
    except NoTarget as error:
        raise Misused(f"nothing can be sent to this address: {error}") from None
    secret = new_secret()
    made = kept.endpoints.add(asked.url, [Event(each) for each in named], secret, open_engine(kept.settings).today())
    return say(f"{made}\n{spelled(secret)}\n{ONCE}")


def _list(kept: _Kept, _: argparse.Namespace) -> int:
    counts, every = kept.messages.counts(), kept.endpoints.every()
    if not every:
        return say("There is no endpoint: `webhooks add URL` makes one.")
    for each in every:
        state = "live" if each.removed is None else f"ended {each.removed[:10]}: {each.why}"
        waiting, dead = counts.get((each.id, "waiting"), 0), counts.get((each.id, "dead"), 0)
        say(f"{each.id}  {each.created[:10]}  {waiting} waiting  {dead} failed  {state}  {_shown(each.url)}  {' '.join(each.events)}")
    return 0


def _shown(url: str) -> str:
    """Without the query, where people put secrets."""
    return urlsplit(url)._replace(query="").geturl() + ("?..." if "?" in url else "")


def _remove(kept: _Kept, asked: argparse.Namespace) -> int:
    endpoint = _named(kept, asked.id)
    kept.endpoints.remove(endpoint.id, "removed by the shop")
    return say(f"{endpoint.id} is removed: nothing is sent there any more.")


def _rotate(kept: _Kept, asked: argparse.Namespace) -> int:
    endpoint, secret = _named(kept, asked.id), new_secret()
    kept.endpoints.rotate(endpoint.id, secret, time.time() + 3600 * asked.keep_hours)
    return say(f"{spelled(secret)}\n{ONCE}\nMessages are signed with the one before as well for {asked.keep_hours} hours.")


def _test(kept: _Kept, asked: argparse.Namespace) -> int:
    endpoint = _named(kept, asked.id)
    came = kept.sender.send(endpoint, new_id(), body(Event.TEST, moment(), {"endpoint": endpoint.id}))
    say(f"{'It arrived' if came.arrived else 'It did not arrive'}: {came.words}.")
    return 0 if came.arrived else WRONG


def _failed(kept: _Kept, _: argparse.Namespace) -> int:
    dead = kept.messages.dead()
    if not dead:
        return say("No message was given up.")
    for each in dead:
        say(f"{each.id}  {each.endpoint_id}  {each.created}  {each.event:<16}  {each.attempts} attempts  {each.answer}")
    return 0


def _resend(kept: _Kept, asked: argparse.Namespace) -> int:
    count = kept.messages.send_again(asked.id)
    if not count:
        raise Misused(
            f"nothing can be sent again by {asked.id}: it takes the id of a message that ended (`webhooks failed`) or of an endpoint "
            "with such messages, and an endpoint that is not removed"
        )
    return say(f"{count} message(s) will be delivered again.")


def _named(kept: _Kept, endpoint_id: str) -> Endpoint:
    found = [each for each in kept.endpoints.live() if each.id == endpoint_id]
    if not found:
        raise Misused(f"there is no endpoint {endpoint_id}: `webhooks list` lists them")
    return found[0]

"""`python -m service` serves quotes; `python -m service demo [NAME]` prints the quote of a demo request without a server."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from contextlib import closing

import orjson
from sqlalchemy.exc import SQLAlchemyError

from pricing.errors import TableError
from service.demo import demo_names, demo_request
from service.engine import Engine, open_engine
from service.settings import READERS, Settings, SettingsError, read_settings, unknown, variable

USAGE = "usage: python -m service [serve | demo [NAME]]\n"
WRONG = 2


def main(arguments: Sequence[str]) -> int:
    """Run a command; 2 for a wrong setting, table or argument."""
    try:
        settings = read_settings(os.environ)
        return _command(arguments, settings)
    except SettingsError as error:
        return _refuse("The settings cannot be used:", *error.faults)
    except TableError as error:
        return _refuse(f"The catalogue cannot be used; {len(error.faults)} fault(s):", *map(str, error.faults))


def _command(arguments: Sequence[str], settings: Settings) -> int:
    match arguments:
        case [] | ["serve"]:
            return serve(settings)
        case ["demo"]:
            return demo(open_engine(settings), demo_names()[0])
        case ["demo", name] if name in demo_names():
            return demo(open_engine(settings), name)
        case ["demo", _]:
            return _refuse(f"There is no demo request of that name; there are {', '.join(demo_names())}.")
        case ["-h" | "--help"]:
            sys.stdout.write(f"{USAGE}settings: {', '.join(map(variable, READERS))}\n")
            return 0
    return _refuse(USAGE)


def demo(engine: Engine, name: str) -> int:
    """Print the quote of a demo request, computed here."""
    from service.bodies import decoded
    from service.schemas import read_request

    request = read_request(decoded(demo_request(name)), engine.known_price_lists())
    sys.stdout.write(orjson.dumps(engine.quote(request), option=orjson.OPT_INDENT_2).decode() + "\n")
    return 0


def serve(settings: Settings) -> int:
    """Make the tables, say how to quote the demo, and serve until stopped."""
    from service.app import create_app
    from service.server import Server, taken
    from service.storage import Quotes, create_tables

    if taken(settings.host, settings.port):
        return _refuse(
            f"Port {settings.port} of {settings.host} is in use: stop what serves there, or choose another with {variable('port')}."
        )
    engine = open_engine(settings)
    try:
        with closing(Quotes(settings.database_url, 1)) as once:
            create_tables(once.engine())
    except (SQLAlchemyError, OSError) as error:
        return _refuse(
            f"The database of {variable('database_url')} cannot be used: {type(error).__name__}.",
            str(getattr(error, "orig", error)).strip(),
        )
    for name in unknown(os.environ):
        sys.stderr.write(f"{name} is not a setting and was ignored\n")
    sys.stdout.write(welcome(settings))
    sys.stdout.flush()
    Server(create_app(settings, engine, Quotes(settings.database_url)), settings).run()
    return 0


def welcome(settings: Settings) -> str:
    """Where the service answers, and a line that quotes the demo."""
    host = f"[{settings.host}]" if ":" in settings.host else settings.host
    at = f"http://{host}:{settings.port}"
    ask = f"curl -s {at}/v1/demo-requests/{demo_names()[0]}"
    post = f"curl -s {at}/v1/quotes -H 'Content-Type: application/json' --data-binary @-"
    return f"Quotes are made at {at}; the contract is at {at}/openapi.yaml. To quote the demo:\n\n  {ask} | {post}\n\n"


def _refuse(*lines: str) -> int:
    sys.stderr.write("\n".join(line.rstrip("\n") for line in lines) + "\n")
    return WRONG


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

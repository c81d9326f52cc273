"""`python -m service`: make the database ready, put the tables in force, say how to quote the demo, and serve until stopped."""

from __future__ import annotations

import os
import sys
from contextlib import closing

from service.commands.out import refuse
from service.demo import demo_names
from service.engine import Engine, folder_of, open_engine
from service.settings import Settings, unknown, variable


def serve(settings: Settings) -> int:
    """Serve until stopped. Raises SQLAlchemyError, OSError, WrongSchema for a database that cannot be used."""
    from service.app import create_app
    from service.server import Server, taken
    from service.storage import Quotes

    if taken(settings.host, settings.port):
        return refuse(
            f"Port {settings.port} of {settings.host} is in use: stop what serves there, or choose another with {variable('port')}."
        )
    engine = open_engine(settings)
    prepare(settings, engine)
    for name in unknown(os.environ):
        sys.stderr.write(f"{name} is not a setting and was ignored\n")
    sys.stdout.write(welcome(settings))
    sys.stdout.flush()
    Server(create_app(settings, engine, Quotes(settings.database_url)), settings).run()
    return 0


def prepare(settings: Settings, engine: Engine) -> None:
    """Before any worker is there: a file, or a database without tables, is brought to this release's schema; a server's is only looked at."""
    from service.catalogues import files_of
    from service.storage import Editions, Quotes, State, WrongSchema, migrate
    from service.storage.connect import is_sqlite

    with closing(Quotes(settings.database_url, 1)) as once:
        try:
            once.ready()
        except WrongSchema as error:
            if not is_sqlite(settings.database_url) and error.state is not State.EMPTY:
                raise
            migrate(once.engine())
        editions = Editions(once)
        if editions.current() != engine.key or editions.content(engine.key) is None:
            editions.put_in_force(engine.key, files_of(folder_of(settings)))


def welcome(settings: Settings) -> str:
    """Where the service answers, and a line that quotes the demo."""
    host = f"[{settings.host}]" if ":" in settings.host else settings.host
    at = f"http://{host}:{settings.port}"
    ask = f"curl -s {at}/v1/demo-requests/{demo_names()[0]}"
    post = f"curl -s {at}/v1/quotes -H 'Content-Type: application/json' --data-binary @-"
    return f"Quotes are made at {at}; the contract is at {at}/openapi.yaml. To quote the demo:\n\n  {ask} | {post}\n\n"

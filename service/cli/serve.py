"""`python -m service`: prepare the database, put the tables in force, show how to quote the demo, and serve until stopped."""

from __future__ import annotations

import logging
import os
import sys
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from service.auth.demo_key import with_shop
from service.cli.out import refuse
from service.demo import demo_names
from service.engine.engine import Engine, folder_of, open_engine
from service.settings import Settings, unknown, variable

if TYPE_CHECKING:
    from service.storage import Editions

# Thread switch interval, a tenth of the default: while another thread computes, one answering a small request waits this long for each
# turn at the interpreter.
SWITCH_SECONDS = 0.0005
DESK_COMMAND = "-m service people add 'Your name' --role owner"
log = logging.getLogger("service")


def serve(settings: Settings) -> int:
    """Serve until stopped. Raises SQLAlchemyError, OSError, WrongSchema for a database that cannot be used."""
    from service.observability import log as logs
    from service.observability import metrics

    logs.begin(settings.chosen_log_format)
    metrics.share()
    from service.app import create_app
    from service.batches.worker import work
    from service.computing.budget import Lane
    from service.computing.hatch import Hatch
    from service.computing.keeper import Keeper
    from service.server.launch import Server, taken
    from service.storage import Quotes

    if taken(settings.host, settings.port):
        return refuse(
            f"Port {settings.port} of {settings.host} is in use: stop what serves there, or choose another with {variable('port')}."
        )
    sys.setswitchinterval(SWITCH_SECONDS)
    engine = open_engine(settings)
    prepare(settings, engine)
    warn_of_doubts(settings)
    settings = with_desk(with_demo_shop(with_demo_key(settings)))
    if settings.demo_key is None and not settings.loopback and not _has_keys(settings):
        return refuse(
            f"Beyond this machine ({variable('host')}={settings.host}) the service starts only with keys of its own: make one with",
            "  python -m service keys make --name NAME --scopes quotes:write,quotes:read,plans",
        )
    for name in unknown(os.environ):
        sys.stderr.write(f"{name} is not a setting and was ignored\n")
    sys.stdout.write(welcome(settings))
    sys.stdout.flush()
    hatches = {lane: Hatch() for lane in Lane} if settings.computing_workers else None
    app = create_app(settings, engine, Quotes(settings.database_url), hatches)
    Server(app, settings, lambda stop: work(settings, engine, stop), Keeper(hatches or {}, engine, settings.computing_workers)).run()
    return 0


def prepare(settings: Settings, engine: Engine) -> None:
    """Before any worker starts: a file, or a database without tables, is migrated to this release's schema; a server's database is
    only checked.
    """
    from service.cli.schema import prepare_schema
    from service.storage import Editions, Keys, Quotes

    with closing(Quotes(settings.database_url, 1)) as once:
        prepare_schema(once)
        _take_up(Editions(once), settings, engine)
        if not Keys(once).secrets():
            Keys(once).make_secret()


def _take_up(editions: Editions, settings: Settings, engine: Engine) -> None:
    """Put the configured folder in force, unless a person has put other tables there: those are kept, and a note is printed."""
    from service.engine.catalogues import files_of
    from service.storage.catalogue_editions import START, Attribution, PutMeanwhile

    today, folder = engine.today(), folder_of(settings)
    put = editions.decided(today)
    if put is not None and put.edition == engine.key and editions.find(engine.key) is not None:
        return
    if put is not None and put.edition != engine.key and put.attribution.means != START:
        if settings.catalogue is not None:
            sys.stderr.write(
                f"{folder} is not what is in force (put there {put.put_at[:10]}), and does not count: `python -m service tables put {folder}` puts it in force.\n"
            )
        return
    try:
        editions.put_in_force(engine.key, files_of(folder), today, Attribution(means=START), seen=editions.last_change())
    except PutMeanwhile:  # another server starts too, or a person was quicker
        _take_up(editions, settings, engine)


def warn_of_doubts(settings: Settings) -> None:
    """Log how many cells of the shop's own folder are doubted and not accepted: once a start, in no worker."""
    if settings.catalogue is None:
        return
    from pricing.catalogue.plausibility import doubts_of

    many = len(doubts_of(settings.catalogue))
    if many:
        log.warning(
            "%s: %d cell(s) are doubted; `python -m service catalogue check %s` names them", settings.catalogue, many, settings.catalogue
        )


def with_demo_key(settings: Settings) -> Settings:
    """The settings with the valid demo key: none beyond this machine or while other keys exist; otherwise the configured one, or one
    made for this start.
    """
    from service.credentials.keys import Kind, new_key

    if not settings.loopback:
        if settings.demo_key is not None:
            sys.stderr.write(f"{variable('demo_key')} is only for this machine and was ignored\n")
        return replace(settings, demo_key=None)
    if _has_keys(settings):
        if settings.demo_key is not None:
            sys.stderr.write(f"{variable('demo_key')} was ignored, because the shop has keys of its own\n")
        return replace(settings, demo_key=None)
    if settings.demo_key is not None:
        return settings
    return replace(settings, demo_key=new_key(Kind.DEMO)[1])


def with_demo_shop(settings: Settings) -> Settings:
    """The settings with the demonstration shop: only on this machine, and only while there is no other key."""
    return with_shop(settings) if settings.loopback and not _has_keys(settings) else settings


def with_desk(settings: Settings) -> Settings:
    """The settings with the desk open or not: unless set, open for those who try the service out on this machine."""
    return settings if settings.desk is not None else replace(settings, desk=settings.shop_key is not None)


def _has_keys(settings: Settings) -> bool:
    from service.storage import Keys, Quotes

    with closing(Quotes(settings.database_url, 1)) as once:
        return bool(Keys(once).live())


def _python() -> str:
    """The interpreter of this start, as it is typed from the folder that it was started in."""
    own = Path(sys.executable)
    return str(own.relative_to(Path.cwd())) if own.is_relative_to(Path.cwd()) else str(own)


def welcome(settings: Settings) -> str:
    """The welcome text: the page to open first, then a command that quotes the demo."""
    at = settings.address
    page = (
        f"Open {at}/demo-shop in a browser: the page of an invented shop, with the form that measures, prices and quotes wires.\n\n"
        if settings.shop_key
        else ""
    )
    if settings.desk:
        page += f"The shop's own people work at {at}/desk. To sign in there, in another terminal in this folder:\n\n  {_python()} {DESK_COMMAND}\n\n"
    ask = f"curl -s {at}/v1/demo-requests/{demo_names()[0]}"
    key = f"-H 'Authorization: Bearer {settings.demo_key}'" if settings.demo_key else '-H "Authorization: Bearer $KEY"'
    post = f"curl -s {at}/v1/quotes -H 'Content-Type: application/json' {key} --data-binary @-"
    whose = "The key in it opens everything, on this machine alone" if settings.demo_key else "KEY is one of the shop's keys"
    return f"{page}Quotes are made at {at}; the contract is at {at}/openapi.yaml. To quote the demo:\n\n  {ask} | {post}\n\n{whose}.\n"

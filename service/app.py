"""The application factory, which only wires the parts together."""

from __future__ import annotations

from collections.abc import Mapping
from threading import BoundedSemaphore

from flask import Flask

from service.api import BLUEPRINTS
from service.auth import access, authenticate, cors, headers
from service.auth.demo_key import key_of_the_shop
from service.auth.keyring import Keyring
from service.batches.progress import Followers
from service.batches.wakeup import Bell
from service.computing.budget import Lane, budgets, places
from service.computing.hatch import Hatch
from service.computing.pool import Apart, Here
from service.desk import BLUEPRINTS as DESK
from service.desk import problem_pages as desk_problem_pages
from service.engine.catalogues import Catalogues
from service.engine.engine import Engine
from service.formats import link_refusals
from service.http import bodies, compression, converters, parameters, problems, responses
from service.http.forms import LimitedFormRequest
from service.observability import log, metrics, tracing
from service.rate_limit import enforce
from service.settings import Settings
from service.storage import Editions, IdempotencyStore, Keys, Quotes, Shelves, Staff
from service.web_form import error_pages


def create_app(settings: Settings, engine: Engine, quotes: Quotes, hatches: Mapping[Lane, Hatch] | None = None) -> Flask:
    """The application for an engine and a store. Opens no connections. `hatches`: the sockets at which computing processes accept tasks; if
    None, request threads compute everything themselves.
    """
    app = log.Application("service", static_folder=None)
    app.url_map.merge_slashes = False
    app.request_class = LimitedFormRequest
    app.extensions.update(settings=settings, catalogues=Catalogues(settings, Editions(quotes), engine), quotes=quotes)
    app.extensions.update(shelves=Shelves(quotes), staff=Staff(quotes), computing=Here())
    keyring = Keyring(Keys(quotes), settings.demo_key, key_of_the_shop(settings), settings.demo_beside_keys)
    app.extensions.update(keyring=keyring, idempotency_store=IdempotencyStore(quotes))
    app.extensions.update(gate=enforce.Gate(enforce.buckets_for(settings, quotes.url)))
    app.extensions.update(bell=Bell(settings), followers=Followers(max(settings.threads // 4, 1)))
    app.extensions.update(archives=BoundedSemaphore(max(settings.threads // 4, 1)))
    app.extensions.update(measures=metrics.Measures())
    if hatches is not None:
        count = app.extensions["measures"].computed
        app.extensions.update(computing=Apart(hatches, budgets(settings), places(settings), count))
    for part in (
        log,
        metrics,
        tracing,
        problems,
        headers,
        cors,
        authenticate,
        enforce,
        responses,
        compression,
        parameters,
        bodies,
        converters,
        error_pages,
        link_refusals,
        *((desk_problem_pages,) if settings.desk else ()),
    ):
        part.install(app)
    for blueprint in (*BLUEPRINTS, *(DESK if settings.desk else ())):
        app.register_blueprint(blueprint)
    access.refuse_unlisted(app)
    return app

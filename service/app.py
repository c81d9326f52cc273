"""The application: wiring and nothing else."""

from __future__ import annotations

from flask import Flask

from service import bodies, parameters, problems, replies, tags, worded
from service.catalogues import Catalogues
from service.engine import Engine
from service.guard import access, entrance, manners, origins
from service.guard.keyring import Keyring
from service.guard.limits import gate
from service.guard.shop import key_of_the_shop
from service.jobs.bell import Bell
from service.jobs.following import Followers
from service.pdf.press import Press
from service.pdf.runs import Runs
from service.settings import Settings
from service.storage import Answers, Editions, Keys, Quotes, Shelves
from service.views import BLUEPRINTS
from service.watch import journal, measures, tracing


def create_app(settings: Settings, engine: Engine, quotes: Quotes) -> Flask:
    """The application over an engine and a store; opens nothing."""
    app = journal.Application("service", static_folder=None)
    app.url_map.merge_slashes = False
    app.extensions.update(settings=settings, catalogues=Catalogues(settings, Editions(quotes), engine), quotes=quotes)
    app.extensions.update(shelves=Shelves(quotes))
    app.extensions.update(keyring=Keyring(Keys(quotes), settings.demo_key, key_of_the_shop(settings)), answers=Answers(quotes))
    app.extensions.update(press=Press(), runs=Runs())
    app.extensions.update(gate=gate.Gate(gate.buckets_for(settings, quotes.url)))
    app.extensions.update(bell=Bell(settings), followers=Followers(max(settings.threads // 4, 1)))
    app.extensions.update(measures=measures.Measures())
    for part in (journal, measures, tracing, problems, manners, origins, entrance, gate, replies, parameters, bodies, tags, worded):
        part.install(app)
    for blueprint in BLUEPRINTS:
        app.register_blueprint(blueprint)
    access.refuse_unlisted(app)
    return app

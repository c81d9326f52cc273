"""The application: wiring and nothing else."""

from __future__ import annotations

from flask import Flask

from service import bodies, problems, replies
from service.catalogues import Catalogues
from service.engine import Engine
from service.settings import Settings
from service.storage import Editions, Quotes, Shelves
from service.views import BLUEPRINTS


def create_app(settings: Settings, engine: Engine, quotes: Quotes) -> Flask:
    """The application over an engine and a store; opens nothing."""
    app = Flask("service", static_folder=None)
    app.url_map.merge_slashes = False
    app.extensions.update(
        settings=settings, catalogues=Catalogues(settings, Editions(quotes), engine), quotes=quotes, shelves=Shelves(quotes)
    )
    problems.install(app)
    replies.install(app)
    bodies.install(app)
    for blueprint in BLUEPRINTS:
        app.register_blueprint(blueprint)
    return app

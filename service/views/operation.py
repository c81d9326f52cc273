"""Operation: alive, ready, and the contract itself."""

from __future__ import annotations

import logging
from functools import cache
from pathlib import Path

from flask import Blueprint, Response
from sqlalchemy.exc import SQLAlchemyError

from service.parts import store
from service.problems import Problem
from service.replies import offers, reply, reply_json
from service.storage import WrongSchema

operation = Blueprint("operation", __name__)
OPENAPI = Path(__file__).parents[2] / "openapi.yaml"
YAML = "application/yaml"


@operation.get("/livez")
def alive() -> Response:
    """The process answers."""
    return reply_json({"status": "alive"})


@operation.get("/readyz")
def ready() -> Response:
    """The process can make and store quotes."""
    try:
        store().ready()
    except WrongSchema as error:
        raise Problem(503, str(error)) from None
    except (SQLAlchemyError, OSError):
        logging.getLogger("service").exception("the database does not answer")
        raise Problem(503, "The database does not answer.") from None
    return reply_json({"status": "ready"})


@operation.get("/openapi.yaml")
@offers(YAML)
def contract() -> Response:
    """The contract."""
    return reply(_contract(), media=YAML)


@cache
def _contract() -> bytes:
    return OPENAPI.read_bytes()

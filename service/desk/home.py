"""What waits today."""

from __future__ import annotations

from flask import Blueprint, Response

from service.desk.pages import HTML, shown
from service.http.responses import produces

home = Blueprint("desk_home", __name__)


@home.get("/desk")
@produces(HTML)
def today() -> Response:
    """What waits for whoever is signed in."""
    return shown("today.html")

"""The page of an invented shop, served on this machine only, for trying out the form's element; embeds it in two lines."""

from __future__ import annotations

from flask import Blueprint, Response, current_app, request

from service.auth.demo_key import origins_of
from service.http.current import settings
from service.http.problems import Problem
from service.http.responses import produces, reply
from service.web_form.described import described
from service.web_form.language import language_wanted
from service.web_form.pages import style_hash
from service.web_form.shop import STYLE, shop_page

demo_shop = Blueprint("demo_shop", __name__)
HTML = "text/html"
SHEET = "/form/sheet"
POLICY = (
    "default-src 'none'; script-src 'self'; connect-src 'self'; img-src 'self' data:; style-src {style}; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)


@demo_shop.get("/demo-shop")
@produces(HTML)
def page() -> Response:
    """The page, if a key was made for it at start-up; the key is bound to the exact origin at which the page is opened."""
    here, origin = settings(), request.host_url.rstrip("/")
    if here.shop_key is None or not here.loopback or origin not in origins_of(here):
        raise Problem(
            404,
            "There is no demonstration shop here: the service shows one only on its own machine, while the shop has no keys of its own.",
        )
    sheet = SHEET if any(each.rule == SHEET for each in current_app.url_map.iter_rules()) else ""
    form = described(language_wanted())
    headers = {
        "Content-Language": form["language"],
        "Content-Security-Policy": POLICY.format(style=style_hash(STYLE)),
        "Cache-Control": "no-store",
        "Vary": "Accept-Language",
    }
    return reply(shop_page(form, origin, here.shop_key, sheet), 200, headers, HTML)

"""The page of an invented shop, on this machine alone: the form's element by its two lines, to try it out."""

from __future__ import annotations

from flask import Blueprint, Response, current_app, request

from service.form.described import described
from service.form.language import language_wanted
from service.form.pages import style_hash
from service.form.shop import STYLE, shop_page
from service.guard.shop import origins_of
from service.parts import settings
from service.problems import Problem
from service.replies import offers, reply

demo_shop = Blueprint("demo_shop", __name__)
HTML = "text/html"
SHEET = "/form/sheet"
POLICY = (
    "default-src 'none'; script-src 'self'; connect-src 'self'; img-src 'self' data:; style-src {style}; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)


@demo_shop.get("/demo-shop")
@offers(HTML)
def page() -> Response:
    """The page, where the start made a key for it; it is bound to the very address that it is opened at."""
    here, origin = settings(), request.host_url.rstrip("/")
    if here.shop_key is None or not here.loopback or origin not in origins_of(here):
        raise Problem(
            404, "There is no demonstration shop here: the start serves one on this machine while the shop has no keys of its own."
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

"""The page for the dock, which opens without a network: the page, its script, its service worker, and how it is installed."""

from __future__ import annotations

from flask import Blueprint, Response, request

from service.api.element import FOR_EVER, SCRIPT
from service.formats.replies import SVG
from service.http.caller import caller
from service.http.compression import compressed
from service.http.current import settings
from service.http.problems import Problem
from service.http.responses import CODED, produces, reply, reply_tagged, takes_gzip, unchanged
from service.measuring_page import manifest, module, shell
from service.measuring_page.worker import POLICY, worker
from service.web_form.language import language_asked, language_wanted

measure = Blueprint("measure", __name__)
HTML = "text/html"


def _origin_and_key() -> tuple[str, str]:
    """This address and the form's key. Raises Problem (404) if the key does not work from here, since the page could send nothing."""
    who, origin, key = caller(), request.host_url.rstrip("/"), settings().form_key
    if who is None or key is None or origin not in who.origins:
        words = f"The form's key is not bound to {origin[:120]}, so the page for the dock could not send anything. Make a key with `--origin` for this origin as well."
        raise Problem(404, words)
    return origin, key


@measure.get("/measure")
@compressed
@produces(HTML)
def page() -> Response:
    """The page, without anything of anybody."""
    origin, key = _origin_and_key()
    language = language_wanted()
    headers = {
        "Content-Language": language,
        "Content-Security-Policy": shell.POLICY,
        "Cache-Control": "no-cache",
        "Vary": "Accept-Language",
    }
    return reply(shell.shell(origin, key, language), 200, headers, HTML)


@measure.get("/measure/worker.js")
@produces(SCRIPT)
def service_worker() -> Response:
    """The worker that keeps the page, for nothing but the page's own address."""
    headers = {"Content-Security-Policy": POLICY, "Cache-Control": "no-cache", "Service-Worker-Allowed": shell.ADDRESS}
    return reply(worker(*_origin_and_key()), 200, headers, SCRIPT)


@measure.get("/measure/app.js")
@produces(SCRIPT)
def script() -> Response:
    """The page's module; kept for ever where its address names this version (`?v=`)."""
    coded = takes_gzip()
    etag = module.version() + (CODED if coded else "")
    coding = {"Content-Encoding": "gzip"} if coded else {}
    response = unchanged(etag) or reply_tagged(module.packed() if coded else module.module(), etag, SCRIPT, coding)
    response.headers["Cache-Control"] = FOR_EVER if request.args.get("v") == module.version() else "public, no-cache"
    response.vary.add("Accept-Encoding")
    return response


@measure.get("/measure/manifest.json")
@produces(manifest.MEDIA)
def installed_as() -> Response:
    """How the page is installed."""
    language = language_asked()
    headers = {"Content-Language": language, "Vary": "Accept-Language", "Cache-Control": "no-cache"}
    return reply(manifest.manifest(language), 200, headers, manifest.MEDIA)


@measure.get("/measure/icon.svg")
@produces(SVG.media)
def icon() -> Response:
    """The icon of the installed page."""
    return reply(manifest.icon(), 200, {"Cache-Control": "public, max-age=86400"}, SVG.media)

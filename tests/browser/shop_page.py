"""A service and shops' pages on loopback ports: each shop an origin of its own, with the strictest policy that the form works under."""

import json
import os
import subprocess
import sys
import threading
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import NamedTuple
from urllib.request import Request, urlopen

from service.web_form.module import lines_of_a_page
from tests.browser.keyboard import labels_of
from tests.service.test_server import free_port, started, stopped, wait_for

ROOT = Path(__file__).parents[2]
POLICY = "default-src 'none'; script-src {0}; connect-src {0}; img-src {0} data:"
PAGE = """<!doctype html><html lang="{lang}"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<title>Invented shop</title><link rel="icon" href="data:,"></head><body><main><h1>Invented shop</h1>
{lines}</main></body></html>"""


BREACHES = "addEventListener('securitypolicyviolation', each => console.error('policy: ' + each.violatedDirective + ' ' + each.blockedURI))"
NAMES = ("quote-ready", "quote-step", "quote-previewed", "quote-requested", "quote-created", "quote-failed")
EVENTS = f"for (const name of {json.dumps(NAMES)}) addEventListener(name, each => (window.heard ??= []).push([name, each.detail]))"


class Quoting(NamedTuple):
    """A service at work; `key` is bound to the shop's origin."""

    service: str
    shop: "Shop"
    stranger: "Shop"
    key: str
    folder: Path

    def labels(self):
        """What each choice is called: {path: {value: label}}."""
        asked = Request(f"{self.service}/v1/form?lang=en", headers={"Authorization": f"Bearer {self.key}", "Origin": self.shop.origin})  # noqa: S310
        with urlopen(asked) as answer:  # noqa: S310  # an address of this test
            form = json.load(answer)
        return labels_of(form)

    def numbers(self):
        """The numbers of all stored quotes."""
        return command(self.folder, "quotes", "list").split("\n")


def watched(page):
    """What a page complains of (errors, policy), and every request that it sends, from now on.

    A price asked for a reading that is half typed is refused, as it may be on a slow machine: the browser's line about that is no complaint.
    """
    seen = {"complaints": [], "sent": []}
    page.add_init_script(f"{BREACHES};{EVENTS}")
    page.on("console", lambda each: seen["complaints"].append(each.text) if each.type == "error" and not half_typed(each) else None)
    page.on("pageerror", lambda each: seen["complaints"].append(str(each)))
    page.on("request", lambda each: seen["sent"].append(each))
    return seen


def half_typed(line):
    """Whether a line of the browser's console tells of a preview that the service could not read."""
    return line.location["url"].endswith("/v1/quotes/preview") and "422" in line.text


def command(folder, *arguments):
    """What a command of the service prints."""
    environment = {name: value for name, value in os.environ.items() if not name.startswith("SERVICE_")} | {"PYTHONPATH": str(ROOT)}
    run = [sys.executable, "-m", "service", *arguments]
    return subprocess.run(run, cwd=folder, env=environment, capture_output=True, text=True, check=True).stdout.strip()


class Shop:
    """A shop's page at `origin`; its lines are set once the service and the key are known."""

    def __init__(self):
        shop = self
        self.lines, self.policy, self.lang = "", "", "en"
        self.files = {}  # more that it serves: path -> (media type, bytes)

        class Handler(BaseHTTPRequestHandler):
            def do_GET(self):
                page = ("text/html; charset=utf-8", PAGE.format(lines=shop.lines, lang=shop.lang).encode())
                media, body = shop.files.get(self.path, page)
                self.send_response(200 if self.path in {"/", *shop.files} else 404)
                self.send_header("Content-Type", media)
                self.send_header("Content-Security-Policy", shop.policy)
                self.send_header("Content-Length", str(len(body)))
                self.end_headers()
                self.wfile.write(body)

            def log_message(self, *_):
                pass

        self.server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self.origin = f"http://127.0.0.1:{self.server.server_address[1]}"
        threading.Thread(target=self.server.serve_forever, daemon=True).start()

    def show(self, service, key, lang="en", *, given="", inside="", files=None):
        """`given`: more attributes of the element; `inside`: what is in it; `files`: what else is served, from then on allowed by the policy."""
        self.lang = lang
        self.lines = lines_of_a_page(service, key, lang).replace("></wire-quote-form>", f" {given}>{inside}</wire-quote-form>")
        self.files = files or {}
        self.policy = POLICY.format(f"{service} 'self'" if files else service) + ("; style-src 'self'" if files else "")

    def close(self):
        self.server.shutdown()
        self.server.server_close()


def publishable_key(folder, origin):
    """A key for the pages of an origin, made as a shop makes it."""
    return command(folder, "keys", "make", "--name", "shop", "--publishable", "--origin", origin).split()[0]


@contextmanager
def served(folder, **settings):
    """A service and both shops for as long as the block lasts; the stranger shows the shop's lines."""
    shop, stranger, port = Shop(), Shop(), free_port()
    key = publishable_key(folder, shop.origin)
    with (folder / "log").open("w") as log:
        server = started(folder, port, out=log, **settings)
        wait_for(server, port)
        service = f"http://127.0.0.1:{port}"
        for each in (shop, stranger):
            each.show(service, key)
        try:
            yield Quoting(service, shop, stranger, key, folder)
        finally:
            stopped(server)
            shop.close()
            stranger.close()

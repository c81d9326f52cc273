"""A service and shops' pages on loopback ports: each shop an origin of its own, with the strictest policy that the form works under."""

import os
import subprocess
import sys
import threading
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

from service.form.module import lines_of_a_page
from tests.service.test_server import free_port, started, stopped, wait_for

ROOT = Path(__file__).parents[2]
POLICY = "default-src 'none'; script-src {0}; connect-src {0}; img-src {0} data:"
PAGE = """<!doctype html><html lang="{lang}"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<title>Invented shop</title><link rel="icon" href="data:,"></head><body><main><h1>Invented shop</h1>
{lines}</main></body></html>"""


class Shop:
    """A shop's page at `origin`; its lines are set once the service and the key are known."""

    def __init__(self):
        shop = self
        self.lines, self.policy, self.lang = "", "", "en"

        class Handler(BaseHTTPRequestHandler):
            def do_GET(self):
                body = PAGE.format(lines=shop.lines, lang=shop.lang).encode()
                self.send_response(200 if self.path == "/" else 404)
                self.send_header("Content-Type", "text/html; charset=utf-8")
                self.send_header("Content-Security-Policy", shop.policy)
                self.send_header("Content-Length", str(len(body)))
                self.end_headers()
                self.wfile.write(body)

            def log_message(self, *_):
                pass

        self.server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self.origin = f"http://127.0.0.1:{self.server.server_address[1]}"
        threading.Thread(target=self.server.serve_forever, daemon=True).start()

    def show(self, service, key, lang="en"):
        self.lang = lang
        self.lines = lines_of_a_page(service, key, lang)
        self.policy = POLICY.format(service)

    def close(self):
        self.server.shutdown()
        self.server.server_close()


def publishable_key(folder, origin):
    """A key for the pages of an origin, made as a shop makes it."""
    environment = {name: value for name, value in os.environ.items() if not name.startswith("SERVICE_")} | {"PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-m", "service", "keys", "make", "--name", "shop", "--publishable", "--origin", origin]
    return subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, check=True).stdout.split()[0]


@contextmanager
def served(folder, **settings):
    """`(service, shop, stranger, key, folder)`: the key is bound to the shop's origin; the stranger shows the same lines."""
    shop, stranger, port = Shop(), Shop(), free_port()
    key = publishable_key(folder, shop.origin)
    with (folder / "log").open("w") as log:
        server = started(folder, port, out=log, **settings)
        wait_for(server, port)
        service = f"http://127.0.0.1:{port}"
        for each in (shop, stranger):
            each.show(service, key)
        try:
            yield service, shop, stranger, key, folder
        finally:
            stopped(server)
            shop.close()
            stranger.close()

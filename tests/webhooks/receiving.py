"""A real receiver on loopback that responds as a test specifies, and a courier that delivers to it in the test's own process."""

from __future__ import annotations

import json
import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

from sqlalchemy import select

from service.lifecycle.events import CHOOSABLE
from service.storage import Endpoints, Messages, Quotes
from service.storage.tables import webhook_messages
from service.webhooks.delivery import Courier, Sender
from service.webhooks.signing import new_secret
from tests.service.conftest import DAY

Answer = Callable[["Receiver", "Handler"], None]
LEASE = 5.0


def says(status: int, **headers: str) -> Answer:
    """Answer so at once."""

    def answer(_: Receiver, request: Handler) -> None:
        request.send_response(status)
        for name, value in headers.items():
            request.send_header(name.replace("_", "-"), value)
        request.send_header("Content-Length", "0")
        request.end_headers()

    return answer


class Handler(BaseHTTPRequestHandler):
    def do_POST(self) -> None:
        receiver: Receiver = self.server.receiver  # type: ignore[attr-defined]
        body = self.rfile.read(int(self.headers["Content-Length"]))
        receiver.got.append((self.path, dict(self.headers), body))
        answers = receiver.answers
        (answers.pop(0) if len(answers) > 1 else answers[0])(receiver, self)

    def log_message(self, *_: Any) -> None:
        return


class Receiver:
    """What came: path, headers and body of each request. `answers`: one for each request, the last for all further ones."""

    def __init__(self, *answers: Answer, port: int = 0) -> None:
        self.answers, self.got = list(answers) or [says(204)], []
        self._server = ThreadingHTTPServer(("127.0.0.1", port), Handler)
        self._server.daemon_threads = True
        self._server.receiver = self  # type: ignore[attr-defined]
        self.port: int = self._server.server_address[1]
        threading.Thread(target=self._server.serve_forever, kwargs={"poll_interval": 0.05}, daemon=True).start()

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}/hook?token=asta"

    def ids(self) -> list[str]:
        return [headers["webhook-id"] for _, headers, _ in self.got]

    def said(self) -> list[dict[str, Any]]:
        return [json.loads(body) for _, _, body in self.got]

    def close(self) -> None:
        self._server.shutdown()
        self._server.server_close()


@contextmanager
def receiver(*answers: Answer, port: int = 0) -> Iterator[Receiver]:
    made = Receiver(*answers, port=port)
    yield made
    made.close()


@contextmanager
def raw_receiver(talk: Callable[[socket.socket], None]) -> Iterator[int]:
    """A port where each connection is given to `talk`."""
    with socket.create_server(("127.0.0.1", 0)) as listening:

        def serve() -> None:
            while True:
                try:
                    connection, _ = listening.accept()
                except OSError:
                    return
                threading.Thread(target=talked, args=(connection,), daemon=True).start()

        def talked(connection: socket.socket) -> None:
            with connection:
                talk(connection)

        threading.Thread(target=serve, daemon=True).start()
        yield listening.getsockname()[1]


class Clock:
    """Seconds since 1970 that a test moves on."""

    def __init__(self) -> None:
        self.ahead = 0.0

    def __call__(self) -> float:
        return time.time() + self.ahead


class Site:
    """A store with a courier that a test moves by hand."""

    def __init__(self, store: Quotes, seconds: float = 2.0, lease: float = LEASE) -> None:
        self.store, self.clock = store, Clock()
        self.courier = Courier(Endpoints(store, self.clock), Messages(store, lease, self.clock), Sender(seconds, private=True))

    def endpoint(self, url: str, events: Any = CHOOSABLE) -> tuple[str, bytes]:
        secret = new_secret()
        return Endpoints(self.store).add(url, events, secret, DAY), secret

    def deliver(self, patience: float = 60.0) -> None:
        """One look, and what it took up brought to its end."""
        self.courier.look()
        until = time.monotonic() + patience
        while any(self.courier._busy.values()):
            assert time.monotonic() < until
            time.sleep(0.005)

    def rows(self) -> list[Any]:
        with self.store.engine().connect() as connection:
            return connection.execute(select(webhook_messages).order_by(webhook_messages.c.id)).all()

    def states(self) -> list[tuple[str, int, str | None]]:
        return [(row.state, row.attempts, row.answer) for row in self.rows()]

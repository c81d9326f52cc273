"""Responses: content negotiation, entity tags, and bodies that are already JSON."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import Any, TypeVar

from flask import Flask, Response, request
from werkzeug.datastructures import Accept
from werkzeug.http import parse_accept_header

from service.encoding import json
from service.http.entity_tags import names
from service.http.problems import Problem, header_fault, parameter_fault
from service.http.unproxied import current_request, query_parameter

JSON = "application/json"
ANYTHING = "*/*"
View = TypeVar("View", bound=Callable[..., Any])


def produces(*media: str) -> Callable[[View], View]:
    """Declare the media types of a view that returns more than JSON; the first is the default."""

    def mark(view: View) -> View:
        view.produces = media  # type: ignore[attr-defined]  # read by `install`
        return view

    return mark


class Reply(Response):
    """A response without a default media type: an empty body has none."""

    default_mimetype = None


def install(app: Flask) -> None:
    """Refuse, before any work is done, a request that accepts none of the media types its endpoint offers."""
    app.response_class = Reply

    @app.before_request
    def negotiate() -> None:
        sent = current_request()
        accepted = sent.environ.get("HTTP_ACCEPT") or ANYTHING
        if accepted == ANYTHING or sent.endpoint is None:
            return
        offered: tuple[str, ...] = getattr(app.view_functions[sent.endpoint], "produces", (JSON,))
        if len(offered) > 1 and "format" in sent.args:
            return  # requested explicitly: the endpoint checks it itself
        if accepted not in offered and not any(sent.accept_mimetypes.quality(each) > 0 for each in offered):
            raise _none_offered(offered)


def _none_offered(offered: tuple[str, ...]) -> Problem:
    words = f"This endpoint offers {', '.join(offered)}."
    return Problem(406, words, [header_fault("Accept", "not_acceptable", words)], {"Accept": ", ".join(offered)})


def chosen(formats: Mapping[str, str]) -> str:
    """The media type the request prefers among `formats` (name to media type): `?format=` for people, otherwise `Accept`.

    Raises Problem: 406 for a format that is not offered.
    """
    named = query_parameter("format")
    if named is None:
        first, accepted = next(iter(formats.values())), current_request().environ.get("HTTP_ACCEPT", ANYTHING)
        if accepted in (ANYTHING, first):  # most requests: nothing to negotiate
            return first
        offered = tuple(formats.values())
        return request.accept_mimetypes.best_match(offered, offered[0]) or offered[0]
    if named not in formats:
        words = f"This endpoint offers the formats {', '.join(formats)}."
        raise Problem(406, words, [parameter_fault("format", "not_acceptable", words)], {"Accept": ", ".join(formats.values())})
    return formats[named]


def reply(body: bytes, status: int = 200, headers: Mapping[str, str] | None = None, media: str = JSON) -> Response:
    """A response with these bytes as its body."""
    return Response(body, status, headers, mimetype=media)


def reply_json(value: object, status: int = 200, headers: Mapping[str, str] | None = None) -> Response:
    """A response with a value encoded as JSON."""
    return reply(json.write(value), status, headers)


def unchanged(etag: str) -> Response | None:
    """304 if the client already has the current representation, else None."""
    known = current_request().environ.get("HTTP_IF_NONE_MATCH")
    if known is not None and (known == f'"{etag}"' or names(known, etag)):
        response = Response(status=304)
        response.set_etag(etag)
        return response
    return None


SUMMARISED = "-summary"  # suffix of the entity tag of a quote's summary
CODED = "-gzip"  # suffix of a compressed response's entity tag: its bytes differ (RFC 9110, 8.8.3.3)


def takes_gzip() -> bool:
    """Whether the client accepts gzip, and prefers it at least as much as no coding."""
    return _takes_gzip(current_request().environ.get("HTTP_ACCEPT_ENCODING", ""))


@lru_cache(maxsize=64)
def _takes_gzip(accepted: str) -> bool:
    """The same for a value of `Accept-Encoding`; cached, since clients send only a few different values."""
    codings = parse_accept_header(accepted, Accept)
    return 0 < codings.quality("gzip") >= codings.quality("identity")


def vary(response: Response, name: str) -> None:
    """Add a request header to the response's `Vary`."""
    had = response.headers.get("Vary")
    if had is None:
        response.headers["Vary"] = name
    elif name.lower() not in had.lower().split(", "):
        response.headers["Vary"] = f"{had}, {name}"


def reply_coded(
    body: Callable[[], bytes], packed: Callable[[], bytes], etag: str, headers: Mapping[str, str], vary: str = "Accept-Encoding"
) -> Response:
    """Pre-compressed JSON, as gzip or plain, each with its own strong entity tag; 304 if the client has it."""
    coded = takes_gzip()
    etag += CODED if coded else ""
    response = unchanged(etag)
    if response is None:
        coding = {"Content-Encoding": "gzip"} if coded else {}
        response = reply_tagged((packed if coded else body)(), etag, headers={**headers, **coding})
    response.headers["Vary"] = vary
    return response


def reply_tagged(body: bytes, etag: str, media: str = JSON, headers: Mapping[str, str] | None = None) -> Response:
    """Bytes with a strong entity tag, to be revalidated before use."""
    return reply(body, headers={"ETag": f'"{etag}"', "Cache-Control": "private, no-cache", **(headers or {})}, media=media)

"""Replies: what an address offers, entity tags, and bytes that are JSON already."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from flask import Flask, Response, request

from service import json
from service.problems import Problem

JSON = "application/json"
View = TypeVar("View", bound=Callable[..., Any])


def offers(media: str) -> Callable[[View], View]:
    """Mark a view that answers another media type than JSON."""

    def mark(view: View) -> View:
        view.offers = media  # type: ignore[attr-defined]  # read by `install`
        return view

    return mark


class Reply(Response):
    """A response without a media type of its own: an empty body has none."""

    default_mimetype = None


def install(app: Flask) -> None:
    """Refuse, before any work, a request that accepts nothing its address offers."""
    app.response_class = Reply

    @app.before_request
    def negotiate() -> None:
        accepted = request.environ.get("HTTP_ACCEPT") or "*/*"
        if accepted == "*/*" or request.endpoint is None:
            return
        offered = getattr(app.view_functions[request.endpoint], "offers", JSON)
        if accepted != offered and request.accept_mimetypes.quality(offered) <= 0:
            raise Problem(406, f"This address offers {offered}.", headers={"Accept": offered})


def reply(body: bytes, status: int = 200, headers: Mapping[str, str] | None = None, media: str = JSON) -> Response:
    """Bytes as they are."""
    return Response(body, status, headers, mimetype=media)


def reply_json(value: object, status: int = 200, headers: Mapping[str, str] | None = None) -> Response:
    """A value as JSON."""
    return reply(json.write(value), status, headers)


def unchanged(etag: str) -> Response | None:
    """304 where the client has what it asks for, else None."""
    if request.if_none_match.contains_weak(etag):
        response = Response(status=304)
        response.set_etag(etag)
        return response
    return None


def reply_tagged(body: bytes, etag: str, media: str = JSON, headers: Mapping[str, str] | None = None) -> Response:
    """Bytes with a strong entity tag, to be asked about again before use."""
    return reply(body, headers={"ETag": f'"{etag}"', "Cache-Control": "private, no-cache", **(headers or {})}, media=media)

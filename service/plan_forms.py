"""The forms a cutting plan is served in: JSON, a drawing, and the bench's list."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from flask import Response

from service.documents.cutting_plan_csv import bench_list
from service.documents.cutting_plan_svg import drawing
from service.replies import JSON, chosen, reply_tagged, unchanged
from service.storage import StoredPlan

FORMATS = {"json": JSON, "svg": "image/svg+xml", "csv": "text/csv"}
_MAKERS: Mapping[str, Callable[[StoredPlan], bytes]] = {
    JSON: StoredPlan.body,
    "image/svg+xml": lambda stored: drawing(stored.said()),
    "text/csv": lambda stored: bench_list(stored.said()),
}


def in_form(stored: StoredPlan, answer: Callable[[bytes, str, Mapping[str, str]], Response] | None = None) -> Response:
    """The plan in the form that the request prefers; 304 where the client has it. `answer` replies in another way than 200."""
    media = chosen(FORMATS)
    etag = f"{stored.etag}-{media.rpartition('/')[2].partition('+')[0]}"
    headers = {"Vary": "Accept"}
    if answer is not None:
        return answer(_MAKERS[media](stored), media, {**headers, "ETag": f'"{etag}"'})
    return unchanged(etag) or reply_tagged(_MAKERS[media](stored), etag, media, headers)

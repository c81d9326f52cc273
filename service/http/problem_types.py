"""Problem types: what the `type` and `code` of a problem document mean (RFC 9457, 3.1.1). Served at `/problems`, one page each.

Each type has exactly one HTTP status. If all faults of a problem share one code, and that code is itself a problem type, the problem has that
type; otherwise it has the default type of its status.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from service.lifecycle.statuses import Status

ADDRESS = "/problems"


class Kind(NamedTuple):
    """A problem type: its HTTP status, its title, what happened, and what the caller can do."""

    status: int
    title: str
    meaning: str
    remedy: str


_SETTLE = "Let the shop settle the open findings, then send the request again."
_REVISE = "Read the quote: `status` is its current status, and /docs/life-of-a-quote lists what each status allows. To quote other measurements, issue a revision."
_WAIT = "Wait for the number of seconds in `Retry-After`, then send the same request again, with the same Idempotency-Key if it had one."

KINDS: Mapping[str, Kind] = {
    # ---- how the request was sent
    "malformed_request": Kind(400, "Malformed Request", "The request is not valid HTTP, or not in the format that this endpoint accepts.", "Send the request as openapi.yaml describes it."),
    "not_json": Kind(400, "Not JSON", "The request body is not valid JSON in UTF-8.", "Correct the JSON at `line` and `column`."),
    "not_an_etag": Kind(400, "Not An ETag", "If-Match contains something other than `*` or quoted ETags.", "Send the ETag exactly as you received it, including its quotation marks."),
    "duplicate_member": Kind(400, "Duplicate Member", "An object in the request body has two members with the same name. The service does not guess which one you mean.", "Remove one of them. The detail names the member; `line` and `column` locate the second one."),
    "body_incomplete": Kind(400, "Body Incomplete", "The connection was closed before the whole request body had arrived.", "Send the request again; nothing was stored."),
    "bad_key": Kind(400, "Invalid Idempotency-Key", "The Idempotency-Key header does not contain a valid key.", "Send one key of 1 to 255 visible ASCII characters, for example a UUID."),
    "no_key": Kind(401, "API Key Required", "This endpoint requires an API key, and the request has none.", "Send `Authorization: Bearer` with a key that `python -m service keys make` printed."),
    "unknown_key": Kind(401, "Unknown API Key", "The API key is unknown to this service, or has been revoked.", "Send a valid key; `python -m service keys list` lists them."),
    "unknown_link": Kind(401, "Link Not Valid", "The shop has ended the link, the link expired with its quote, or its URL is damaged.", "Ask the shop for a new link."),
    "forbidden": Kind(403, "Forbidden", "The API key does not permit this request.", "Use a key that does."),
    "missing_scope": Kind(403, "Missing Scope", "The API key lacks the scope that this endpoint requires.", "Make a key with the scope that the detail names: `python -m service keys make --scopes`."),
    "secret_key_needed": Kind(403, "Secret Key Required", "This endpoint does not accept publishable keys.", "Call it from the shop's server, with a secret key."),
    "wrong_origin": Kind(403, "Origin Not Allowed", "A publishable key works only in a browser, on pages of the origins it was made for.", "From a server, send a secret key. For another page, make a key for its origin: `python -m service keys make --publishable --origin`."),
    "key_needed": Kind(403, "API Key Required", "A customer's link can only show and answer its own quote.", "Send an API key."),
    "not_signed_in": Kind(401, "Not Signed In", "This page belongs to the desk, and the request has no session, or one that has ended.", "Sign in with a new link: `python -m service people link` prints one."),
    "sign_in_used": Kind(401, "Sign-In Link Not Valid", "The sign-in link has already been used, is older than fifteen minutes, or is damaged.", "Have a new one made: `python -m service people link`."),
    "other_role": Kind(403, "Wrong Role", "This page is for people who have another role in the shop.", "Ask someone with that role."),
    "other_site": Kind(403, "Cross-Site Request", "The form was sent from a page that does not belong to the desk.", "Open the desk itself, and send the form from there."),
    "form_of_before": Kind(409, "Form From Another Session", "The form was opened in a session that has since ended, or was altered on the way.", "Check your entries, and send the form again."),
    "unknown_address": Kind(404, "Not Found", "There is no endpoint at this URL.", "/openapi.yaml lists all endpoints."),
    "unknown_quote": Kind(404, "Unknown Quote", "There is no quote with this id. An id is a UUID; a number such as Q-2026-000042 is not an id.", "Look for the quote with `GET /v1/quotes`."),
    "unknown_assembly": Kind(404, "Unknown Assembly", "The quote has no assembly with this tag.", "Use one of the tags listed in the detail, percent-encoded."),
    "unknown_batch": Kind(404, "Unknown Batch", "There is no batch with this id.", "`GET /v1/batches` lists all batches."),
    "unknown_plan": Kind(404, "Unknown Cutting Plan", "There is no cutting plan with this id.", "`GET /v1/cutting-plans` lists all plans."),
    "unknown_settlement": Kind(404, "Unknown Settlement", "The quote has no settlement with this id.", "`GET /v1/quotes/{id}/settlements` lists the quote's settlements."),
    "unknown_question": Kind(404, "Unknown Question", "No question with this id was asked about the quote.", "`GET /v1/quotes/{id}/questions` lists the quote's questions."),
    "unknown_edition": Kind(404, "Unknown Edition", "There is no edition of the tables with this id.", "`GET /v1/tables` lists all editions."),
    "unknown_guide": Kind(404, "Unknown Guide", "There is no guide with this name.", "/docs lists all guides."),
    "unknown_problem": Kind(404, "Unknown Problem", "There is no problem type with this name.", "/problems lists all problem types."),
    "unknown_part_of_catalogue": Kind(404, "Unknown Catalogue Table", "The catalogue has no table with this name.", "Use one of the names listed in the detail."),
    "unknown_drawing": Kind(404, "Unknown Drawing", "There is no drawing with this name.", "Use one of the names listed in the detail."),
    "unknown_demo_request": Kind(404, "Unknown Demo Request", "There is no demo request with this name.", "Use one of the names listed in the detail."),
    "first_revision": Kind(404, "First Revision", "This is the first revision of the quote, so there is no earlier one to compare it with.", "Request the difference of a later revision."),
    "method_not_allowed": Kind(405, "Method Not Allowed", "This endpoint does not support the request method.", "`Allow` lists the methods it supports."),
    "not_acceptable": Kind(406, "Not Acceptable", "This endpoint cannot return the format that `Accept` or `format` asks for.", "Ask for one of the formats listed in the detail."),
    "too_slow": Kind(408, "Request Timeout", "The request did not arrive in time.", "Send it again, over a faster connection or in smaller parts."),
    "length_required": Kind(411, "Length Required", "The request has a body but no Content-Length.", "Send Content-Length; chunked transfer coding is not supported."),
    "changed_since_read": Kind(412, "Changed Since Read", "The quote has changed since you read the ETag that you sent in If-Match.", "Read the quote again, decide again, and send its current ETag."),
    "etag_of_another_quote": Kind(412, "ETag Of Another Quote", "The ETag in If-Match is not one of this quote's: it belongs to another quote, is truncated, or dates from before the customer was erased.", "Read the quote that you mean, and send the ETag you receive with it."),
    "etag_of_another_document": Kind(412, "ETag Of Another Document", "The ETag in If-Match belongs to another document of this quote, such as its bench sheet or a drawing.", "Send the ETag of the quote's JSON, or of its quotation as a page or PDF."),
    "too_large": Kind(413, "Content Too Large", "The request body is larger than this endpoint accepts.", "Send less at once: the detail says what to reduce. A batch may be larger than a single request."),
    "uri_too_long": Kind(414, "URI Too Long", "The request line is longer than the service accepts.", "Send long values in the request body."),
    "wrong_media_type": Kind(415, "Unsupported Media Type", "The media type of the request body is not supported by this endpoint.", "Send one of the media types listed in the detail, and name it in Content-Type."),
    "wrong_charset": Kind(415, "Unsupported Charset", "The request body is not in UTF-8.", "Send UTF-8."),
    "coded_body": Kind(415, "Unsupported Content Coding", "The request body has a content coding, such as gzip.", "Send it without a content coding."),
    "precondition_required": Kind(428, "Precondition Required", "This step requires proof of which state of the quote you have read.", "Read the quote, and send its ETag in If-Match."),
    "head_too_large": Kind(431, "Request Header Fields Too Large", "The request headers are longer than the service accepts.", "Send fewer or shorter headers."),
    "version_not_supported": Kind(505, "HTTP Version Not Supported", "The service does not support the HTTP version of the request.", "Send HTTP/1.1 or HTTP/1.0."),
    # ---- what the request says
    "unprocessable": Kind(422, "Unprocessable Content", "The request is well formed, but some of its values cannot be used.", "`errors` lists each of these values and what to send instead."),
    "faulty_tables": Kind(422, "Faulty Tables", "The tables in the request cannot be used.", "`errors` lists each faulty cell by file, line and column, and what to write there. Nothing was stored."),
    "key_of_another_request": Kind(422, "Idempotency-Key Of Another Request", "The Idempotency-Key has already been used for a different request.", "Repeat the earlier request unchanged, or use a new key."),
    # ---- conflicts with what is stored
    "conflict": Kind(409, "Conflict", "The current state of the resource does not allow this step; `errors` lists the reasons.", "Read the resource again; each reason says what to do."),
    "still_running": Kind(409, "Still Running", "The first request with this Idempotency-Key is still being processed.", _WAIT),
    "wrong_status": Kind(409, "Not Allowed In This Status", "The quote's status does not allow this step.", _REVISE),
    "quote_not_open": Kind(409, "Quote Not Open", "The quote is no longer open: it was declined, withdrawn, cancelled or superseded, or it has expired.", _REVISE),
    "on_hold": Kind(409, "On Hold", "An assembly cannot be built from the measurements in the request.", "Issue a revision with measurements that it can be built from, or without that assembly."),
    "open_findings": Kind(409, "Open Findings", "Findings must be settled before anything is cut.", "Let the shop settle them, or accept with `open` set to `as_listed` and the customer's own words in `understood`."),
    "not_ready": Kind(409, "Not Ready To Cut", "An assembly is not ready to cut.", _SETTLE),
    "not_accepted": Kind(409, "Not Accepted", "Wire is only cut for quotes that the customer has accepted.", "Have the customer accept the quote first."),
    "costs_more": Kind(409, "Costs More", "A correction must not cost more than the customer accepted.", "Issue a revision, for the customer to accept."),
    "asks_more": Kind(409, "New Findings", "A correction must not have open findings that the accepted quote did not have.", "Issue a revision, for the customer to accept."),
    "already_settled": Kind(409, "Already Settled", "The finding has already been settled.", "Undo its settlement first, or leave the finding out."),
    "already_undone": Kind(409, "Already Undone", "The settlement has already been undone.", "There is nothing left to do."),
    "already_answered": Kind(409, "Already Answered", "The question has already been answered.", "Read the answer in the quote's questions."),
    "already_cut": Kind(409, "Already Cut", "Wire has already been cut for this quote.", "Reverse the take of its cutting plan first, or leave the pieces out."),
    "already_built": Kind(409, "Already Built", "Wire that has been built into assemblies cannot go back on the shelf.", "If the shelf is wrong, record a stock count."),
    "already_taken": Kind(409, "Already Taken", "The wire for this cutting plan has already been taken from the shelf.", "Make another plan."),
    "not_taken": Kind(409, "Not Taken", "The wire for this cutting plan has not been taken from the shelf.", "There is nothing to reverse."),
    "enough_questions": Kind(409, "Too Many Questions", "The quote has as many questions as it can have.", "Telephone or write to the shop instead."),
    "link_ended": Kind(409, "Link Would Not Open", "The quote's last day has passed, so a link to it would not open.", "Issue a revision, and make a link to that."),
    "no_address": Kind(409, "No E-Mail Address", "The quote has no e-mail address by which its customer could be recognised.", "Send the customer a link of their own."),
    "other_stock": Kind(409, "Other Stock", "The plan was made for stock sent with the request, not for the shop's own shelf.", "Make the plan again without that stock."),
    "nothing_to_cut": Kind(409, "Nothing To Cut", "The plan cuts nothing, so there is nothing to take.", "Make a plan of pieces that the stock can supply."),
    "not_on_the_shelf": Kind(409, "Not On The Shelf", "The shelf no longer holds the wire that the plan needs.", "Make another plan."),
    "open_doubts": Kind(409, "Open Doubts", "The tables contain implausible values.", "Correct them, or accept each doubt by its name in `accept`."),
    "put_meanwhile": Kind(409, "Tables Changed", "Somebody else has put an edition of the tables in force since you read them.", "Read `GET /v1/tables` and the difference again, decide again, and send the current `last_change` as `seen`."),
    "completed": Kind(409, "Completed", "The batch has been completed.", "Read its results."),
    "no_fleet": Kind(409, "No Fleet", "The batch has not been completed, or contains no quotes.", "Wait until its `status` is `completed`. A cancelled batch never has a summary."),
    "not_completed": Kind(409, "Not Completed", "The batch is still being processed.", "Wait until its `status` is `completed`; `seconds_left` at `GET /v1/batches/{id}` is the estimated time."),
    "nothing_quoted": Kind(409, "Nothing Quoted", "No line of the batch became a quote.", "Read the batch's results for the reasons."),
    # ---- too much, or not now
    "too_many_requests": Kind(429, "Too Many Requests", "The API key has sent more requests of this kind in a minute than it is allowed.", _WAIT),
    "too_many_addresses": Kind(429, "Too Many Addresses", "Too many e-mail addresses have been tried for this quote.", "Wait, or ask the shop for a link of your own."),
    "failed": Kind(500, "Internal Server Error", "The service failed and logged the cause. Nothing was stored.", "Try again later, and tell the shop the X-Request-Id."),
    "unavailable": Kind(503, "Service Unavailable", "The service is temporarily unable to handle the request.", _WAIT),
    "busy": Kind(503, "Busy", "The service is already handling as many requests of this kind as it can.", _WAIT),
    "took_too_long": Kind(503, "Computation Timeout", "The computation exceeded its time limit.", "Send a smaller request."),
    "too_much_memory": Kind(503, "Memory Limit Exceeded", "The computation exceeded its memory limit.", "Send a smaller request."),
    "computing_ended": Kind(503, "Computation Ended", "The process that ran the computation ended unexpectedly.", _WAIT),
}  # fmt: skip
DEFAULT_CODES: Mapping[int, str] = {
    400: "malformed_request", 401: "no_key", 403: "forbidden", 404: "unknown_address", 405: "method_not_allowed", 406: "not_acceptable",
    408: "too_slow", 409: "conflict", 411: "length_required", 412: "changed_since_read", 413: "too_large", 414: "uri_too_long",
    415: "wrong_media_type", 422: "unprocessable", 428: "precondition_required", 429: "too_many_requests", 431: "head_too_large",
    500: "failed", 503: "unavailable", 505: "version_not_supported",
}  # fmt: skip
_WRONG_STATUS = "wrong_status"  # the problem type of faults whose code is the quote's status, such as `accepted`
_STATUSES = frozenset(each.value for each in Status)


def code_of(status: int, faults: Iterable[Mapping[str, object]]) -> str:
    """The code of the problem type for a status and its faults: the code that all faults share, if it is a problem type of this status;
    otherwise the status's default.
    """
    codes = {fault.get("code") for fault in faults}
    if status == KINDS[_WRONG_STATUS].status and codes and codes <= _STATUSES:
        return _WRONG_STATUS
    if len(codes) == 1:
        (shared,) = codes
        if isinstance(shared, str) and shared in KINDS and KINDS[shared].status == status:
            return shared
    return DEFAULT_CODES.get(status, "malformed_request" if status < 500 else "failed")

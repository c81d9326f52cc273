"""The kinds of problem: what the `type` and `code` of a refusal mean (RFC 9457, 3.1.1). Served at `/problems`, one page each.

A kind has one status. A refusal whose faults all have one code that is a kind of its own is of that kind; another is of its status.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from service.lifecycle.statuses import Status

ADDRESS = "/problems"


class Kind(NamedTuple):
    """Status, title, what happened, and what the caller can do."""

    status: int
    title: str
    meaning: str
    remedy: str


_SETTLE = "Let the shop settle what is asked, then send the request again."
_REVISE = "Read the quote: its `status` says where it stands, and /docs/life-of-a-quote what each status allows. For other numbers issue a revision."
_WAIT = "Send the same request again after the seconds in `Retry-After`, with the same Idempotency-Key if it had one."

KINDS: Mapping[str, Kind] = {
    # ---- how the request was sent
    "malformed_request": Kind(400, "Malformed Request", "The request is not HTTP, or not what this address takes.", "Send it as openapi.yaml describes it."),
    "not_json": Kind(400, "Not JSON", "The body is not JSON in UTF-8.", "`line` and `column` say where it ends to be JSON."),
    "not_an_etag": Kind(400, "Not An ETag", "If-Match holds something else than `*` or ETags in their quotation marks.", "Send the ETag as it came, with its quotation marks."),
    "duplicate_member": Kind(400, "Member Twice", "An object in the body has two members of one name; which of them counts is not guessed.", "Keep the one that is meant. The detail names it; `line` and `column` say where the second stands."),
    "body_incomplete": Kind(400, "Body Incomplete", "The connection ended before the body did.", "Send the request again; nothing was stored."),
    "bad_key": Kind(400, "Unreadable Idempotency-Key", "The header Idempotency-Key has no key in it.", "Write one key of 1 to 255 visible ASCII characters, for example a UUID."),
    "no_key": Kind(401, "API Key Required", "The address wants an API key, and none was sent.", "Send `Authorization: Bearer` with a key that `python -m service keys make` printed."),
    "unknown_key": Kind(401, "Unknown API Key", "The key is not one of this service's, or was revoked.", "Send a key that is in force; `python -m service keys list` names them."),
    "unknown_link": Kind(401, "Link Not Valid", "The link was ended by the shop, has ended with its quote, or is damaged.", "Ask the shop for another link."),
    "forbidden": Kind(403, "Forbidden", "The key does not allow this.", "Use a key made for it."),
    "missing_scope": Kind(403, "Scope Missing", "The key lacks the scope that the address wants.", "Make a key with the scope named in the detail: `python -m service keys make --scopes`."),
    "secret_key_needed": Kind(403, "Secret Key Required", "The address takes no publishable key.", "Call it from the shop's server, with a secret key."),
    "wrong_origin": Kind(403, "Wrong Origin", "A publishable key works only in a browser, on pages of the origins it was made for.", "From a server send a secret key. For another page make a key for its origin: `python -m service keys make --publishable --origin`."),
    "key_needed": Kind(403, "API Key Required", "A customer's link shows and answers its own quote, and does nothing else.", "Send a key."),
    "not_signed_in": Kind(401, "Not Signed In", "The page is one of the desk's, and the session has ended or there was none.", "Sign in by a new link: `python -m service people link` prints one."),
    "sign_in_used": Kind(401, "Sign-In Link Not Valid", "The link was used, is older than fifteen minutes, or is damaged.", "Have a new one made: `python -m service people link`."),
    "other_role": Kind(403, "Other Role", "The page is for people of another role in the shop.", "Ask someone who has it."),
    "other_site": Kind(403, "Sent From Another Site", "The form was sent by a page that is not the desk's own.", "Open the desk itself, and send it there."),
    "form_of_before": Kind(409, "Form Of Another Session", "The form was opened in a session that has ended since, or was changed on its way.", "Look through what you wrote, and send it again."),
    "unknown_address": Kind(404, "Unknown Address", "There is nothing at this address.", "/openapi.yaml lists every address."),
    "unknown_quote": Kind(404, "Unknown Quote", "No quote has this id. An id is a UUID; a number such as Q-2026-000042 is not an id.", "Find it with `GET /v1/quotes`."),
    "unknown_assembly": Kind(404, "Unknown Assembly", "The quote has no assembly of this tag.", "Use one of the tags in the detail, percent-encoded."),
    "unknown_batch": Kind(404, "Unknown Batch", "No batch has this id.", "`GET /v1/batches` lists them."),
    "unknown_plan": Kind(404, "Unknown Cutting Plan", "No cutting plan has this id.", "`GET /v1/cutting-plans` lists them."),
    "unknown_settlement": Kind(404, "Unknown Settlement", "The quote has no settlement of this id.", "The quote lists its settlements."),
    "unknown_question": Kind(404, "Unknown Question", "Nothing of this id was asked about the quote.", "The quote's questions are listed at its address `questions`."),
    "unknown_edition": Kind(404, "Unknown Edition", "No tables of this id are stored.", "`GET /v1/tables` lists them."),
    "unknown_guide": Kind(404, "Unknown Guide", "There is no guide of this name.", "/docs lists them."),
    "unknown_problem": Kind(404, "Unknown Problem", "There is no kind of problem of this name.", "/problems lists them."),
    "unknown_part_of_catalogue": Kind(404, "Unknown Part Of The Catalogue", "The catalogue has no such part.", "Use one of those in the detail."),
    "unknown_drawing": Kind(404, "Unknown Drawing", "There is no drawing of this name.", "Use one of those in the detail."),
    "unknown_demo_request": Kind(404, "Unknown Demo Request", "There is no demo request of this name.", "Use one of those in the detail."),
    "first_revision": Kind(404, "First Revision", "A first revision differs from nothing.", "Ask for the difference of a later revision."),
    "method_not_allowed": Kind(405, "Method Not Allowed", "The address does not take this method.", "`Allow` names those it takes."),
    "not_acceptable": Kind(406, "Not Acceptable", "The address does not offer what `Accept` or `format` asks for.", "Ask for one of those in the detail."),
    "too_slow": Kind(408, "Request Timeout", "The request did not arrive in time.", "Send it again, over a better connection or in smaller parts."),
    "length_required": Kind(411, "Length Required", "The request has a body and no Content-Length.", "Send Content-Length; chunked bodies are not taken."),
    "changed_since_read": Kind(412, "Changed Since Read", "The quote is no longer as the ETag in If-Match says.", "Read it again, decide anew, and send its present ETag."),
    "etag_of_another_quote": Kind(412, "ETag Of Another Quote", "The ETag in If-Match is of another quote, cut short, or of before the quote's customer was erased.", "Read the quote that is meant, and send the ETag that comes with it."),
    "etag_of_another_document": Kind(412, "ETag Of Another Document", "The ETag in If-Match is of another document of the quote, such as its bench sheet or a drawing.", "Send the ETag of its JSON, or of the page or PDF of its quotation."),
    "too_large": Kind(413, "Content Too Large", "The body is larger than the address takes.", "Send less at once: the detail says what of. A batch takes more than a request."),
    "uri_too_long": Kind(414, "URI Too Long", "The request line is longer than the service reads.", "Send what is long in the body."),
    "wrong_media_type": Kind(415, "Unsupported Media Type", "The body is not of a media type that the address takes.", "Send it as the detail says, with its Content-Type."),
    "wrong_charset": Kind(415, "Unsupported Charset", "The body is not in UTF-8.", "Send UTF-8."),
    "coded_body": Kind(415, "Unsupported Content Coding", "The body has a content coding, such as gzip.", "Send it without one."),
    "precondition_required": Kind(428, "Precondition Required", "The step is taken only on a state that was read.", "Read the quote, and send its ETag in If-Match."),
    "head_too_large": Kind(431, "Request Header Fields Too Large", "The headers are longer than the service reads.", "Send fewer or shorter headers."),
    "version_not_supported": Kind(505, "HTTP Version Not Supported", "The request is of a version of HTTP that the service does not speak.", "Send HTTP/1.1 or HTTP/1.0."),
    # ---- what the request says
    "unprocessable": Kind(422, "Unprocessable Content", "The request can be read, and something it says cannot be.", "`errors` names each place and what to write there."),
    "faulty_tables": Kind(422, "Faulty Tables", "The tables that were sent cannot be used.", "`errors` names each file, line and column, and what to write there. Nothing was stored."),
    "key_of_another_request": Kind(422, "Idempotency-Key Of Another Request", "The Idempotency-Key was used for another request.", "Repeat that request unchanged, or use a new key."),
    # ---- what there is already
    "conflict": Kind(409, "Conflict", "What is stored does not allow the step, for each of the reasons in `errors`.", "Read it again; each reason says what to do."),
    "still_running": Kind(409, "Still Running", "The first request with this Idempotency-Key is not answered yet.", _WAIT),
    "wrong_status": Kind(409, "Not In This Status", "The quote's status does not allow the step.", _REVISE),
    "quote_not_open": Kind(409, "Quote Not Open", "The quote has ended: it was declined, withdrawn, cancelled or superseded, or is past its last day.", _REVISE),
    "on_hold": Kind(409, "On Hold", "An assembly cannot be built from its numbers.", "Issue a revision with numbers that can be built, or without it."),
    "open_findings": Kind(409, "Open Findings", "Something is to be confirmed before anything is cut.", "Let the shop settle it, or accept with `open` as `as_listed` and the customer's own words in `understood`."),
    "not_ready": Kind(409, "Not Ready To Cut", "An assembly is not ready to cut.", _SETTLE),
    "not_accepted": Kind(409, "Not Accepted", "Wire is cut for quotes that the customer has accepted.", "Let the customer accept the quote first."),
    "costs_more": Kind(409, "Costs More", "A correction may not cost more than the customer accepted.", "Issue a revision, which the customer accepts again."),
    "asks_more": Kind(409, "Asks More", "A correction may not ask what the accepted quote did not ask.", "Issue a revision, which the customer accepts again."),
    "already_settled": Kind(409, "Already Settled", "The finding has a settlement.", "Undo that first, or leave it out."),
    "already_undone": Kind(409, "Already Undone", "The settlement was undone before.", "Nothing is to be done."),
    "already_answered": Kind(409, "Already Answered", "The question has an answer.", "Read it in the quote's questions."),
    "already_cut": Kind(409, "Already Cut", "Wire has been cut for it.", "Put the take back first, or leave the pieces out."),
    "already_built": Kind(409, "Already Built", "What was built cannot go back on the shelf.", "Count the shelf if it is wrong."),
    "already_taken": Kind(409, "Already Taken", "The plan's wire was taken before.", "Make another plan."),
    "not_taken": Kind(409, "Not Taken", "The plan's wire was never taken.", "There is nothing to put back."),
    "enough_questions": Kind(409, "Enough Questions", "As many questions are open about the quote as it can have.", "Answer some first."),
    "link_ended": Kind(409, "Link Would Not Open", "The quote's links have ended with it.", "Issue a revision and link to that."),
    "no_address": Kind(409, "No E-mail Address", "The quote has no e-mail address to know its customer by.", "Send the customer a link of their own."),
    "other_stock": Kind(409, "Other Tables", "The plan was made with other stock tables than are in force.", "Make another plan."),
    "nothing_to_cut": Kind(409, "Nothing To Cut", "The plan cuts nothing from the shelf.", "Nothing is to be done."),
    "not_on_the_shelf": Kind(409, "Not On The Shelf", "The shelf no longer holds what the plan needs.", "Make another plan."),
    "open_doubts": Kind(409, "Open Doubts", "Something in the tables can hardly be meant.", "Correct it, or accept each doubt by its name in `accept`."),
    "put_meanwhile": Kind(409, "Put Meanwhile", "Somebody else put tables in force since you looked.", "Read `GET /v1/tables` and the difference again, decide anew, and send its `last_change` as `seen`."),
    "completed": Kind(409, "Completed", "The batch is done.", "Read its results."),
    "no_fleet": Kind(409, "No Fleet", "The batch holds no quotes to compare.", "Wait until it has quoted some."),
    "not_completed": Kind(409, "Not Completed", "The batch is still being worked on.", "Wait until its `status` is `completed`: `GET /v1/batches/{id}` tells `seconds_left`."),
    "nothing_quoted": Kind(409, "Nothing Quoted", "The batch quoted nothing.", "Read its results for the reasons."),
    # ---- too much, or not now
    "too_many_requests": Kind(429, "Too Many Requests", "More requests of a kind than a minute has room for.", _WAIT),
    "too_many_addresses": Kind(429, "Too Many Addresses", "Several e-mail addresses were tried for a quote.", "Wait, or ask the shop for a link of your own."),
    "failed": Kind(500, "Internal Server Error", "The service failed, and recorded why. Nothing was stored.", "Try again later, and give the shop the X-Request-Id."),
    "unavailable": Kind(503, "Service Unavailable", "The service cannot answer now.", _WAIT),
    "busy": Kind(503, "Busy", "As much is being computed as the service has room for.", _WAIT),
    "took_too_long": Kind(503, "Takes Too Long", "The computation took more time than one may take.", "Ask for less at once."),
    "too_much_memory": Kind(503, "Takes Too Much Memory", "The computation took more memory than one may take.", "Ask for less at once."),
    "computing_ended": Kind(503, "Computation Ended", "The process that computed it ended.", _WAIT),
}  # fmt: skip
USUAL: Mapping[int, str] = {
    400: "malformed_request", 401: "no_key", 403: "forbidden", 404: "unknown_address", 405: "method_not_allowed", 406: "not_acceptable",
    408: "too_slow", 409: "conflict", 411: "length_required", 412: "changed_since_read", 413: "too_large", 414: "uri_too_long",
    415: "wrong_media_type", 422: "unprocessable", 428: "precondition_required", 429: "too_many_requests", 431: "head_too_large",
    500: "failed", 503: "unavailable", 505: "version_not_supported",
}  # fmt: skip
_STATUS = "wrong_status"  # of a fault whose code is the status that the quote has
_STATUSES = frozenset(each.value for each in Status)


def code_of(status: int, faults: Iterable[Mapping[str, object]]) -> str:
    """The kind of a refusal: that of its faults where all have one code that is a kind of this status, else the usual one of the status."""
    codes = {each.get("code") for each in faults}
    if status == KINDS[_STATUS].status and codes and codes <= _STATUSES:
        return _STATUS
    if len(codes) == 1:
        (only,) = codes
        if isinstance(only, str) and only in KINDS and KINDS[only].status == status:
            return only
    return USUAL.get(status, "malformed_request" if status < 500 else "failed")

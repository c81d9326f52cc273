"""Refusals on the form's URLs as readable pages: what happened and what to do next, keeping what was entered."""

from __future__ import annotations

import json
import uuid
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from service.web_form.asking import N_
from service.web_form.pages import STYLE, environment
from service.wording import translator

Fields = list[tuple[str, str]]
ADDRESS = "/form"
_BACK = N_("Go back in your browser: what you wrote is still there.")
_HERE = N_("What you wrote is kept in this page.")
_AGAIN, _ANEW = N_("Send it again"), N_("Make a new request with these answers")
_NO_SHEET = N_("This address takes what the form's own pages send, and nothing else. Begin with the form.")
_BUSY = N_("The service cannot answer just now, or failed; nothing was stored. Send it again in a moment.")
_BROKEN_OFF = N_("The page did not arrive completely, so nothing was done with it. Send it again.")


@dataclass(frozen=True, slots=True)
class Text:
    """The text of a page. `button`: the label of the button that sends the fields again; empty without one."""

    title: str
    words: str
    button: str = ""


_TITLE = N_("That did not work")
TEXTS = {
    400: Text(_TITLE, _BROKEN_OFF, _AGAIN),
    404: Text(N_("There is no form here"), N_("The shop serves no form at this address. Go back to the shop's page, or ask the shop.")),
    405: Text(_TITLE, _NO_SHEET),
    409: Text(N_("Your request is being worked on"), N_("It arrived, and is not done yet. Sent again in a moment it leads to your quotation, and never makes two."), _AGAIN),
    411: Text(_TITLE, _BROKEN_OFF, _AGAIN),
    413: Text(N_("That is too much at once"), N_("Send fewer wires at once, or a smaller file, and the rest in another request.")),
    415: Text(_TITLE, _NO_SHEET),
    422: Text(N_("This form has made its quote already"), N_("That quote stands as it was requested. With other answers it is a new request, which makes another quote."), _ANEW),
    429: Text(N_("Many people are asking just now"), N_("The service takes no more from this form for a moment."), _AGAIN),
}  # fmt: skip


def refusal_page(status: int, language: str, fields: Fields, wait: str, request_id: str) -> bytes:
    """The page in UTF-8. `fields`: the posted fields, to send again; `wait`: seconds, or empty."""
    say = translator(language)
    text = TEXTS.get(status, Text(_TITLE, _BUSY, _AGAIN))
    kept = bool(text.button and fields)
    words = [say(text.words), *([] if status in (404, 405, 415) else [say(_HERE if kept else _BACK)])]
    message = {"title": say(text.title), "words": " ".join(words), "button": say(text.button) if kept else ""}
    return (
        environment(language)
        .get_template("refusal.html")
        .render(
            language=language, style=Markup(STYLE), message=message, wait=wait, fields=_anew(fields) if status == 422 else fields, address=ADDRESS,  # noqa: S704
            begin=status != 404, status=status, request_id=request_id,
        )
        .encode()
    )  # fmt: skip


def _anew(fields: Fields) -> Fields:
    """The same answers as a new request, to be reviewed first."""
    found = dict(fields)
    try:
        draft: dict[str, Any] = json.loads(found["draft"])
        found |= {"draft": json.dumps({**draft, "once": str(uuid.uuid4())}, ensure_ascii=False), "go": "review"}
    except (ValueError, KeyError, TypeError, RecursionError):
        return [("go", "check")]
    return list(found.items())

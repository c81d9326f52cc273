"""The element's own texts in English: those that the form's description does not contain, since they are needed before it or without it.

A name in braces is filled in; of two texts, the first is the singular and the second the plural.
"""

from __future__ import annotations

import json

from service.encoding.languages import LANGUAGES
from service.wording import messages

CONTEXT = "element"
WORDED = ("title", "help", "label", "lacking", "wrong", "cautions")  # members of the form's description whose texts a shop may replace
TEXTS: dict[str, str | tuple[str, str]] = {
    "loading": "Loading the form…",
    "tryAgain": "Try again",
    "cannotLoad": "The form cannot be loaded: the service does not answer. It is tried again by itself.",
    "wrongOrigin": "The service answers, but not to this page ({origin}). The shop has to bind its publishable key to this origin.",
    "refusedForm": "The service refused this page.",
    "noKey": "This form needs its attributes “service” and “publishable-key”.",
    "oldKey": "The attribute “key” is called “publishable-key” now: frameworks of components keep “key” for themselves. Give the key by that name.",
    "caution": "An estimate from your measurements: the rigger verifies every length and fitting before cutting. Support the mast before any stay comes off.",
    "cautionsTitle": "Before you rely on it",
    "wires": "Your wires",
    "wiresHelp": "Add one wire at a time, while it is still rigged. What you enter is kept on this device until you request a quote.",
    "noWires": "No wire yet.",
    "add": "Add a wire",
    "another": "Add another wire",
    "edit": "Edit",
    "remove": "Remove",
    "removeSure": "Really remove",
    "keep": "Keep it",
    "copyTo": "Copy to {side}",
    "port": "port",
    "starboard": "starboard",
    "copied": "Copied from the other side. Its settings and readings are its own: record them anew.",
    "tap": "Tap the wire",
    "alike": "The same as {tag}, on the other side",
    "unnamed": "Wire {n}",
    "wireOf": "Wire {n} of {of}",
    "toReview": "Review",
    "toWires": "All wires",
    "next": "Continue",
    "back": "Back",
    "complete": "Complete",
    "incomplete": ("1 answer is missing", "{n} answers are missing"),
    "parts": "Parts of this wire",
    "drawing": "The wire as drawn so far",
    "drawingOld": "The service does not answer, so your latest answers are not in this drawing.",
    "missingHere": "unfinished",
    "optional": "optional",
    "noAnswer": "No answer",
    "choose": "Choose…",
    "onlyOne": "The only one that fits what you chose.",
    "example": "For example",
    "reading": "Reading {n}",
    "addReading": "Add a reading",
    "understood": "Understood as",
    "summary": ("There is a problem", "There are {n} problems"),
    "error": "Error",
    "ready_to_cut": "No open question",
    "confirm": "Please check",
    "hold": "Cannot be made from these answers, and is not in the price",
    "shopChecks": "The shop checks something about the parts of this wire itself, before anything is cut.",
    "stop": "Stop",
    "ask": "Check",
    "note": "Note",
    "more": "More about this wire",
    "price": "Price so far",
    "priceEmpty": "The price shows as soon as a wire is complete.",
    "priceWorking": "Working it out…",
    "priceOf": ("For 1 complete wire", "For {n} complete wires"),
    "fillIn": "Fill in the example of an invented boat",
    "withTax": "with tax",
    "lacking": "{part} still missing",
    "lines": "Wire, fittings, work",
    "allowances": "Allowances",
    "charges": "Charges",
    "tax": "Tax",
    "total": "Total",
    "leftOut": "Not in the price: {tags}.",
    "estimate": "Estimate, nothing is ordered.",
    "priceLimited": "Many people are asking just now; the price follows in {s} s.",
    "priceOffline": "No connection: the price follows when it is back.",
    "priceNone": "There is no price yet: none of the wires can be made from these answers.",
    "priceRefused": "There is no price while the service cannot read something; see the marked answers.",
    "priceFailed": "The service could not work it out just now. It is tried again.",
    "offline": "No connection. Go on: your answers are kept on this device, and price and checks follow when it is back.",
    "online": "The connection is back.",
    "draftKept": "Draft kept on this device, {time}.",
    "draftNot": "This browser keeps no draft: do not close the page.",
    "draftFound": "Your draft was found on this device; go on where you were.",
    "draftStale": "A draft older than 30 days was forgotten.",
    "draftUnreadable": "A draft of another version was found and cannot be used.",
    "draftOther": "The draft was changed in another window of this browser.",
    "forget": "Forget this draft",
    "forgetSure": "Really forget it",
    "forgotten": "The draft is forgotten.",
    "review": "Review and request",
    "reviewHelp": "Look once more at every wire. You are asking for a quote: it is not an order and commits you to nothing.",
    "answers": "Answers",
    "change": "Change",
    "noWireYet": "Add at least one wire that is complete.",
    "unfinished": "{name} is not complete: finish it or remove it.",
    "send": "Request a quote",
    "sending": "Requesting the quote…",
    "sendLost": "The connection broke while the quote was requested. It is sent again by itself when the connection is back, and never makes two quotes.",
    "sendFailed": "The service did not answer as it should. It is sent again by itself; that never makes two quotes.",
    "sendWait": "Many people are asking just now; it is sent again in {s} s.",
    "sendNow": "Send it again now",
    "sendOld": "This request was sent more than 23 hours ago and never answered. Ask the shop whether it arrived before you send it again.",
    "sendGiveUp": "Change the answers instead",
    "sendRefused": "The service refused the request. Nothing was stored.",
    "openQuote": "Open your quotation (new window)",
    "openQuoteHelp": "It shows every wire with its drawing, and can be read until its last day, or for a year once you have accepted it. Save or print it now: once you leave this page, the way to it is not shown again.",
    "thanks": "Your quote is made",
    "number": "Quote number",
    "valid": "Valid until",
    "thanksNext": "Keep the number: the shop finds your quote by it. Nothing is ordered yet.",
    "startNew": "Start another one",
}


def texts(language: str) -> dict[str, str | list[str]]:
    """The texts in a language, by name; both forms of one with a count."""
    catalogue = messages(language)
    return {
        name: catalogue.pgettext(CONTEXT, text) if isinstance(text, str) else [catalogue.npgettext(CONTEXT, *text, n) for n in (1, 2)]
        for name, text in TEXTS.items()
    }


def script() -> str:
    """The declarations at the start of the element's module."""
    constants = {"TEXTS": {each: texts(each) for each in LANGUAGES}, "WORDED": WORDED}
    return "\n".join(f"const {name} = {json.dumps(value, ensure_ascii=False)};" for name, value in constants.items())

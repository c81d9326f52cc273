"""Signing in at the desk by a link, signing out, a session's language, and the style of all pages.

A link is used up by pressing the button on its page, not by opening it: programs that follow links in messages sign nobody in.
"""

from __future__ import annotations

import re
from pathlib import Path

from flask import Blueprint, Response, request

from service.auth.sessions import COOKIE, clear_cookie, refuse_large, refuse_other_sites, set_cookie, the_session
from service.desk.pages import HTML, redirect, render_page
from service.encoding.languages import LANGUAGES
from service.http.caller import WrongKey
from service.http.current import staff
from service.http.problems import parameter_fault
from service.http.responses import produces, reply
from service.style import SHARED, style_of

sign_in_pages = Blueprint("desk", __name__)
STYLE = style_of(Path(__file__).parent / "desk.css").encode() if SHARED else b""
_MOST = 10_000  # bytes of the sign-in form, which holds only a link
_DESK_PATH = re.compile(r"/desk(?:/[A-Za-z0-9._~/-]*)?", re.ASCII)


@sign_in_pages.get("/desk/desk.css")
@produces("text/css")
def style() -> Response:
    """The style of all pages of the desk."""
    return reply(STYLE, headers={"Cache-Control": "max-age=3600"}, media="text/css")


@sign_in_pages.get("/desk/sign-in")
@produces(HTML)
def sign_in() -> Response:
    """The page of a sign-in link: a button, without saying whose link it is."""
    return render_page("sign_in.html", link=request.args.get("link", ""))


@sign_in_pages.post("/desk/sign-in")
@produces(HTML)
def signed_in() -> Response:
    """Use up the link and begin a session, ending any earlier one in this browser."""
    refuse_other_sites()
    refuse_large(_MOST)
    secret = staff().sign_in(request.form.get("link", ""))
    if secret is None:
        words = "The link was used, is older than fifteen minutes, or is damaged: have a new one made by `python -m service people link`."
        raise WrongKey(401, words, [parameter_fault("link", "sign_in_used", words)])
    before = staff().session(request.cookies.get(COOKIE, ""))
    if before is not None:
        staff().sign_out(before.id)
    response = redirect("/desk")
    set_cookie(response, secret)
    return response


@sign_in_pages.post("/desk/sign-out")
@produces(HTML)
def sign_out() -> Response:
    """End the session."""
    staff().sign_out(the_session().id)
    response = render_page("signed_out.html")
    clear_cookie(response)
    return response


@sign_in_pages.post("/desk/language")
@produces(HTML)
def language() -> Response:
    """Set the session's language, and return to the page where it was chosen."""
    chosen, back = request.form.get("language", ""), request.form.get("back", "")
    if chosen in LANGUAGES:
        staff().choose_language(the_session().id, chosen)
    return redirect(back if _DESK_PATH.fullmatch(back) and "//" not in back else "/desk")

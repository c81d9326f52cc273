"""The quotation that an owner reads and signs, as a page (HTML, UTF-8) for telephone and print, with the content of the paper.

Nothing is fetched: styles and drawings are embedded, and there is no script. Equal arguments give equal bytes.
"""

from __future__ import annotations

from functools import cache, reduce
from pathlib import Path

from jinja2 import Environment
from markupsafe import Markup

from pricing.model import Quote
from service.documents.csv.cells import plain
from service.documents.paper_pages import environment
from service.documents.quotation import content
from service.documents.quotation.customer import Typed, Visit
from service.documents.speech import speech_in
from service.style import hashes, style_of

_ENCODED = (('"', "'"), ("%", "%25"), ("#", "%23"), ("<", "%3C"), (">", "%3E"), ("&", "%26"))
_FOLDER = Path(__file__).parent
STYLE = style_of(_FOLDER / "page.css")
PAPERS = {
    units: f'@page {{ size: {paper}; margin: 12mm 13mm 14mm; @bottom-left {{ content: string(quotation); font: 8pt sans-serif }} @bottom-right {{ content: counter(page) " / " counter(pages); font: 8pt sans-serif }} }}'
    for units, paper in (("metric", "A4"), ("imperial", "letter"))
}


def page(quote: Quote, language: str = "en", country: str | None = None, base: str | None = None, visit: Visit | None = None) -> bytes:
    """The quotation of a stored quote. Raises ValueError for a preview.

    `language`, `country`: as of `content`. `base`: the service's own URL (`https://shop.example`), with which links begin; without it they
    are relative. `visit`: of a customer by a link, who can answer on the page.
    """
    speech = speech_in(language, quote.display_units)
    data = content.content(quote, language, country)
    made = (
        _environment(speech.language)
        .get_template("page.html")
        .render(
            quotation=data,
            **content.explained(data, speech),
            quote=quote,
            speech=speech,
            statuses={name: speech.say(words) for name, words in content.STATUSES.items()},
            base=base,
            visit=visit,
            style=Markup(STYLE),  # noqa: S704  # this module's own text, none from users
            paper=Markup(PAPERS[quote.display_units]),  # noqa: S704
        )
    )
    return plain(made).encode()


def refused(status: int, language: str, fields: list[tuple[str, str]], typed: Typed, wait: str, query: str, request_id: str) -> bytes:
    """The page in place of the quotation for a customer whose link or answer is refused. `fields`: what was sent, to be sent again to the
    same address with `query`; `typed`: what of it is the customer's own; `wait`: seconds, or empty.
    """
    template = _environment(language).get_template("refused.html")
    style = Markup(STYLE)  # noqa: S704  # this module's own text, none from users
    return template.render(
        status=status, language=language, fields=fields, typed=typed, wait=wait, query=query, request_id=request_id, style=style
    ).encode()


def style_hashes() -> str:
    """The Content-Security-Policy sources that allow exactly these styles."""
    return hashes((STYLE, *PAPERS.values()))


@cache
def _environment(language: str) -> Environment:
    made = environment(_FOLDER, language)
    made.filters.update(drawn=_address_of)
    return made


def _address_of(svg: str) -> Markup:
    """A data URL (RFC 2397) of a picture of our own, in ASCII, percent-encoded where it must be: a fifth shorter than in base64."""
    return Markup("data:image/svg+xml,") + Markup(reduce(lambda text, each: text.replace(*each), _ENCODED, svg))  # noqa: S704  # a likeness, which has no text

"""The quotation that an owner reads and signs, as a page (HTML, UTF-8) for a telephone and for print.

Nothing is fetched: styles and drawings are in the page, and there is no script. Equal arguments give equal bytes.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable
from datetime import date
from functools import cache, partial
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from service.documents import assembly_svg
from service.documents.assembly.tongue import Tongue
from service.documents.benchsheet.drawn import address_of
from service.documents.cells import plain
from service.documents.quotation import workdays
from service.documents.quotation.speech import Speech, speech
from service.documents.quoted import address_lines
from service.documents.rig import words
from service.documents.rig.terms import Document

_FOLDER = Path(__file__).parent / "quotation"
STYLE = (_FOLDER / "page.css").read_text(encoding="utf-8")
PAPERS = {
    units: f'@page {{ size: {paper}; margin: 12mm 13mm 14mm; @bottom-left {{ content: string(quotation); font: 8pt sans-serif }} @bottom-right {{ content: counter(page) " / " counter(pages); font: 8pt sans-serif }} }}'
    for units, paper in (("metric", "A4"), ("imperial", "letter"))
}


def page(
    document: Document, language: str = "en", country: str | None = None, base: str | None = None, *, for_paper: bool = False
) -> bytes:
    """The quotation of a stored quote (`document` as `GET /v1/quotes/{id}` answers it), on the paper that goes with its units.

    `language`: one of `LANGUAGES`. `country`: whose holidays are no business days (ISO 3166); None: holidays are not counted, and the page says so.
    `base`: the service's own address (`https://shop.example`), which a link begins with; without it a page's links are relative, and a page
    `for_paper`, which stands nowhere, has none.
    """
    spoken = speech(language, document)
    tongue = Tongue(spoken.messages(), spoken.decimal, spoken.name)
    drawn = [None if each["readiness"] == "hold" else assembly_svg.inset(document, each, tongue) for each in document["assemblies"]]
    at = f"{base or ''}/v1/quotes/{document['id']}"
    ready = workdays.after(date.fromisoformat(document["issued_on"]), document["lead_time_days"], country)
    return (
        _environment(spoken.language)
        .get_template("page.html")
        .render(
            quote=document,
            speech=spoken,
            drawings=[None if each is None else address_of(each) for each in drawn],
            seller={**dict.fromkeys(("phone", "email", "tax_number", "legal")), **document["seller"]},
            address=address_lines(document["seller"]),
            shared=bool(document["lines"]) and any(each.get("price") for each in document["assemblies"]),
            freight=any(each["rule"] == "freight" for each in document["charges"]),
            adjusted=any(each["allowances"] or each["charges"] for each in document["lines"]),
            base=base,
            link=None if for_paper and not base else at,
            ready=ready,
            holidays_counted=country is not None,
            explained=partial(_explained, spoken),
            open=[_asked(each) for each in document["assemblies"] if words.findings(each, "stop", "ask")],
            role=words.role,
            style=Markup(STYLE),  # noqa: S704  # this module's own, no text of anybody's
            paper=Markup(PAPERS[document["display_units"]]),  # noqa: S704
        )
        .encode()
    )


def _asked(assembly: Document) -> Document:
    return {"tag": assembly["tag"], "readiness": assembly["readiness"], "findings": words.findings(assembly, "stop", "ask")}


def _explained(spoken: Speech, findings: Iterable[Document]) -> list[tuple[tuple[str, str] | None, list[Document]]]:
    """Findings with what their code means in this language, those of one code together; in English each alone, in the quote's own words."""
    found: dict[str, tuple[tuple[str, str] | None, list[Document]]] = {}
    for place, finding in enumerate(findings):
        said = spoken.finding(finding["code"])
        found.setdefault(finding["code"] if said else str(place), (said, []))[1].append(finding)
    return list(found.values())


def style_hashes() -> str:
    """What a Content-Security-Policy names to allow these very styles and no other (CSP 3, `hash-source`)."""
    return " ".join(f"'sha256-{_digest(each)}'" for each in (STYLE, *PAPERS.values()))


def _digest(style: str) -> str:
    return base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()


def _own(text: object) -> Markup:
    """Somebody's own text, set apart so that its direction of writing turns nothing around it."""
    return Markup("<bdi>{}</bdi>").format(plain(text))


def _english(text: object) -> Markup:
    """What is English in every language."""
    return Markup('<bdi lang="en">{}</bdi>').format(plain(text))


@cache
def _environment(language: str) -> Environment:
    environment = Environment(
        loader=FileSystemLoader(_FOLDER),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        extensions=["jinja2.ext.i18n"],
    )
    speaker = Speech(language, "metric")
    messages = speaker.messages()
    environment.install_gettext_callables(messages.gettext, messages.ngettext, newstyle=True)  # type: ignore[attr-defined]  # the extension's

    def spoken(text: object) -> Markup:
        """What the project says itself, in the language where it is translated."""
        said = messages.gettext(str(text))
        return _english(text) if said == text else Markup("{}").format(said)

    def named(text: object) -> Markup:
        """A name, in the language where it is put together from known words."""
        said = speaker.name(str(text))
        return _english(text) if said is None else _own(said)

    environment.filters.update(own=_own, english=_english, named=named, plain=plain, spoken=spoken)
    return environment

"""`python -m service gallery FOLDER`: write the demo boats in every format of the service, for people to look at. The files are
reproducible.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any, NamedTuple
from uuid import NAMESPACE_URL, uuid5

import orjson
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from pricing.document import canonical, headed, issued, rendered
from pricing.model import Quote
from pricing.stock.pieces import QuoteToPlan
from service.cli.out import refuse, say
from service.demo import demo_names, demo_request
from service.documents import drawing_paper
from service.documents.assembly_drawing import svg as assembly_svg
from service.documents.bench_sheet import html as bench_sheet_html
from service.documents.bench_sheet import paper as bench_sheet_paper
from service.documents.bench_sheet.document import bench_sheet
from service.documents.bench_sheet.known import Known
from service.documents.cutting_plan import bench_list as cutting_plan_csv
from service.documents.cutting_plan import paper as cutting_plan_paper
from service.documents.cutting_plan import svg as cutting_plan_svg
from service.documents.labels import paper as labels
from service.documents.quotation import html as quotation_html
from service.documents.quotation.paper import paper
from service.documents.rig_sheet import svg as rig_sheet_svg
from service.engine.engine import Engine, open_engine
from service.formats.quote import DATA, FORMS, TABLES
from service.formats.replies import CSV
from service.http.bodies import decoded
from service.schemas import read_request
from service.settings import Settings
from service.storage.records import sha256_of
from service.style import SHARED

DAY = date(2026, 11, 25)  # date of the invented quotes unless the settings fix one, so that two galleries can be compared
_UNSAFE = re.compile(r"[^A-Za-z0-9._]+", re.ASCII)


class Demo(NamedTuple):
    """A demo boat's quote as it would be stored, the shop's own view of its cutting plan, and the tables used for both."""

    quote: Quote
    plan: dict[str, Any]
    known: Known


class GalleryFile(NamedTuple):
    """A file to write: its name, its description, and the function that renders it."""

    name: str
    says: str
    make: Callable[[], bytes]


def gallery(settings: Settings, place: Path) -> int:
    """Write the gallery. Raises TableError, OSError."""
    if place.exists() and (not place.is_dir() or any(place.iterdir())):
        return refuse(f"{place} already exists and is not empty: name another folder, or empty it.")
    engine = open_engine(replace(settings, catalogue=None, today=settings.today or DAY))  # invented boats are quoted from invented tables
    boats: list[dict[str, Any]] = []
    for number, name in enumerate(demo_names(), 1):
        one = _demo(engine, name, number)
        written = [_write(place / name / file.name, file.make(), file.says) for file in _files(one)]
        boats.append({"name": name, "boat": one.quote.boat.name, "note": one.quote.note, "files": written})
    _write(place / "index.html", _index(boats, one.quote), "")
    return say(f"{sum(len(each['files']) for each in boats)} files of {len(boats)} boats; begin with {place / 'index.html'}.")


def _demo(engine: Engine, name: str, number: int) -> Demo:
    request = read_request(decoded(demo_request(name)), engine.known_price_lists())
    made = engine.quote(request)
    quote = headed(made, str(uuid5(NAMESPACE_URL, name)), f"Q-{made.issued_on[:4]}-{number:06d}", 1)
    index = engine.catalogue.index
    plan = {
        "id": str(uuid5(NAMESPACE_URL, f"plan of {name}")),
        **engine.planner.of_quote(QuoteToPlan.of(quote), engine.today(), engine.catalogue.tables.stock),
    }
    return Demo(issued(quote, sha256_of(canonical(quote))), plan, Known(index.article, index.thread, kept=True, plan=plan))


def _files(one: Demo) -> Iterator[GalleryFile]:
    """Every format, in the order of the index."""
    quote, plan = one.quote, one.plan
    yield GalleryFile("quote.json", "The quote as JSON", lambda: _json(rendered(quote)))
    for name, served in TABLES.items():
        yield GalleryFile(f"{name}.csv", served.says, partial(served.make, quote))
    for name in DATA:
        served, ending = FORMS[name], FORMS[name].form.ending
        if served.form is not CSV:
            yield GalleryFile(f"quote.{ending}" if name == ending else f"quote-{name}.{ending}", served.says, partial(served.make, quote))
    yield GalleryFile("rig-sheet.svg", "The rig on one sheet", partial(rig_sheet_svg.drawing, quote))
    yield GalleryFile("rig-sheet.pdf", "The rig on paper", partial(drawing_paper.paper, rig_sheet_svg.drawing, quote))
    for place, assembly in enumerate(quote.assemblies, 1):
        plain = _UNSAFE.sub("-", assembly.tag).strip("-.")
        yield GalleryFile(f"assembly-{place:02d}-{plain}.svg", f"Assembly {assembly.tag}", partial(assembly_svg.drawing, quote, assembly))
    yield GalleryFile("quotation-en.html", "The quotation", partial(quotation_html.page, quote))
    yield GalleryFile("quotation-de.html", "The quotation in German", partial(quotation_html.page, quote, "de"))
    yield GalleryFile("quotation-en.pdf", "The quotation on paper", partial(paper, quote))
    yield GalleryFile("quotation-de.pdf", "The quotation on paper, in German", partial(paper, quote, "de"))
    yield GalleryFile(
        "quotation-archived.pdf", "The quotation for archives, with the UBL quotation in it", partial(paper, quote, archived=True)
    )
    yield GalleryFile("bench-sheet.html", "The bench sheet", partial(bench_sheet_html.page, quote, one.known))
    yield GalleryFile("bench-sheet-de.html", "The bench sheet in German", partial(bench_sheet_html.page, quote, one.known, "de"))
    yield GalleryFile("bench-sheet.pdf", "The bench sheet on paper", partial(bench_sheet_paper.paper, quote, one.known))
    yield GalleryFile("bench-sheet-de.pdf", "The bench sheet on paper, in German", partial(bench_sheet_paper.paper, quote, one.known, "de"))
    yield GalleryFile("bench-sheet.json", "The bench sheet as JSON", lambda: _json(bench_sheet(quote, one.known)))
    yield GalleryFile("labels.pdf", "Labels for the tags, a sheet", partial(labels.paper, quote))
    yield GalleryFile("labels-roll-de.pdf", "Labels for the tags on a roll, in German", partial(labels.paper, quote, "de", "roll"))
    yield GalleryFile("cutting-plan.svg", "The shop’s cutting plan", partial(cutting_plan_svg.drawing, plan))
    yield GalleryFile("cutting-plan.pdf", "The cutting plan on paper", partial(cutting_plan_paper.paper, plan))
    yield GalleryFile("cutting-plan-de.pdf", "The cutting plan on paper, in German", partial(cutting_plan_paper.paper, plan, "de"))
    yield GalleryFile("cutting-plan.csv", "The cutting plan as a list", partial(cutting_plan_csv.bench_list, plan))
    yield GalleryFile("cutting-plan.json", "The cutting plan as JSON", partial(_json, plan))


def _json(value: object) -> bytes:
    return orjson.dumps(value, option=orjson.OPT_INDENT_2 | orjson.OPT_APPEND_NEWLINE)


def _write(path: Path, content: bytes, says: str) -> dict[str, str]:
    """Write a file; returns its entry in the index."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)
    return {"href": f"{path.parent.name}/{path.name}", "name": path.name, "says": says}


def _index(boats: list[dict[str, Any]], quote: Quote) -> bytes:
    environment = Environment(
        loader=FileSystemLoader(Path(__file__).parent), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    template, style = environment.get_template("gallery.html"), Markup(SHARED)  # noqa: S704  # our own text
    return template.render(style=style, boats=boats, day=quote.issued_on, cautions=quote.cautions).encode()

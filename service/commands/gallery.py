"""`python -m service gallery FOLDER`: the demo boats in every form that the service writes, for people to look at. The same files each time."""

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

from service.bodies import decoded
from service.commands.out import refuse, say
from service.demo import demo_names, demo_request
from service.documents import (
    assembly_svg,
    bench_sheet_html,
    cutting_plan_csv,
    cutting_plan_svg,
    quotation_html,
    quote_csv,
    quote_ubl,
    quote_xlsx,
    rig_sheet_svg,
)
from service.documents.bench_sheet import bench_sheet
from service.documents.benchsheet.known import Known
from service.documents.pdf import NoPdf, pdf_of
from service.engine import Engine, open_engine
from service.schemas import read_request
from service.settings import Settings
from service.storage.records import sha256_of

DAY = date(2026, 11, 25)  # of the invented quotes, where the settings name no day: so that two galleries can be compared
_UNSAFE = re.compile(r"[^A-Za-z0-9._]+", re.ASCII)


class Demo(NamedTuple):
    """A demo boat's quote as it would be answered, the shop's own view of its cutting plan, and the tables of both."""

    document: dict[str, Any]
    plan: dict[str, Any] | None
    known: Known


class Shown(NamedTuple):
    """One file: its name, what it is in words, how it is made; `prints`: it can be made a PDF as well."""

    name: str
    says: str
    make: Callable[[], bytes]
    prints: bool = False


def gallery(settings: Settings, folder: str) -> int:
    """Write the gallery. Raises TableError, OSError."""
    place = Path(folder)
    if place.exists() and (not place.is_dir() or any(place.iterdir())):
        return refuse(f"{folder} is there already and is not empty: name another folder, or empty it.")
    engine = open_engine(replace(settings, catalogue=None, today=settings.today or DAY))  # invented tables go with invented boats
    boats, missing = [], ""
    for number, name in enumerate(demo_names(), 1):
        one = _demo(engine, name, number)
        written = []
        for shown in _files(one):
            made = shown.make()
            written.append(_kept(place / name / shown.name, made, shown.says))
            if shown.prints and not missing:
                try:
                    written.append(_kept((place / name / shown.name).with_suffix(".pdf"), pdf_of(made), f"{shown.says}, as PDF"))
                except NoPdf as error:
                    missing = str(error)
        boats.append({"name": name, "boat": one.document["boat"]["name"], "note": one.document["note"], "files": written})
    _kept(place / "index.html", _index(boats, one.document, missing), "")
    return say(
        f"{sum(len(each['files']) for each in boats)} files of {len(boats)} boats; begin with {place / 'index.html'}. {missing}".rstrip()
    )


def _demo(engine: Engine, name: str, number: int) -> Demo:
    request = read_request(decoded(demo_request(name)), engine.known_price_lists())
    made = engine.quote_and_plan(request, engine.catalogue.tables.stock)
    day, quote_id = made.document["issued_on"], str(uuid5(NAMESPACE_URL, name))
    head = {"id": quote_id, "number": f"Q-{day[:4]}-{number:06d}", "revision": 1}
    checksum = sha256_of({**made.document, **head})
    document = orjson.loads(orjson.dumps({**head, "status": "issued", "checksum": checksum, **made.document}))
    index = engine.catalogue.index
    plan = None if made.bench is None else {"id": str(uuid5(NAMESPACE_URL, f"plan of {name}")), **made.bench}
    return Demo(document, plan, Known(index.article, index.thread, kept=True))


def _files(one: Demo) -> Iterator[Shown]:
    """Every form, in the order of the index."""
    document, plan = one.document, one.plan
    yield Shown("quote.json", "The quote as JSON", partial(_json, document))
    yield Shown("lines.csv", "Its priced lines", partial(quote_csv.lines, document))
    yield Shown("bill.csv", "Its bill of materials", partial(quote_csv.bill, document))
    yield Shown("quote.xlsx", "The quote as a workbook", partial(quote_xlsx.workbook, document))
    yield Shown("quote-ubl.xml", "The quote as a UBL Quotation", partial(quote_ubl.quotation, document))
    yield Shown("rig-sheet.svg", "The rig on one sheet", partial(rig_sheet_svg.drawing, document))
    for place, assembly in enumerate(document["assemblies"], 1):
        plain = _UNSAFE.sub("-", assembly["tag"]).strip("-.")
        yield Shown(f"assembly-{place:02d}-{plain}.svg", f"Assembly {assembly['tag']}", partial(assembly_svg.drawing, document, assembly))
    yield Shown("quotation-en.html", "The quotation", partial(quotation_html.page, document), prints=True)
    yield Shown("quotation-de.html", "The quotation in German", partial(quotation_html.page, document, "de"), prints=True)
    yield Shown("bench-sheet.html", "The bench sheet", partial(bench_sheet_html.page, document, one.known), prints=True)
    yield Shown("bench-sheet.json", "The bench sheet as JSON", lambda: _json(bench_sheet(document, one.known)))
    if plan is None:
        return
    yield Shown("cutting-plan.svg", "The shop’s cutting plan", partial(cutting_plan_svg.drawing, plan))
    yield Shown("cutting-plan.csv", "The cutting plan as a list", partial(cutting_plan_csv.bench_list, plan))
    yield Shown("cutting-plan.json", "The cutting plan as JSON", partial(_json, plan))


def _json(value: object) -> bytes:
    return orjson.dumps(value, option=orjson.OPT_INDENT_2 | orjson.OPT_APPEND_NEWLINE)


def _kept(path: Path, content: bytes, says: str) -> dict[str, str]:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)
    return {"href": f"{path.parent.name}/{path.name}", "name": path.name, "says": says}


def _index(boats: list[dict[str, Any]], document: dict[str, Any], missing: str) -> bytes:
    environment = Environment(
        loader=FileSystemLoader(Path(__file__).parent), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    template = environment.get_template("gallery.html")
    return template.render(boats=boats, day=document["issued_on"], cautions=document["cautions"], missing=missing).encode()

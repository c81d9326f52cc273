"""Every paper in German: no English sentence or word on it but what the shop and its customers wrote, sizes as Germans write them, and the
lettering clear, for German is longer."""

from __future__ import annotations

import copy
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache, partial
from gettext import NullTranslations
from html import unescape
from itertools import groupby
from typing import Any
from xml.etree import ElementTree as ET

import pytest

from pricing.values import Phrase
from service.demo import demo_names
from service.documents.bench_sheet import html as bench_sheet_html
from service.documents.bench_sheet.document import ENDED
from service.documents.bench_sheet.known import Known
from service.documents.cutting_plan import bench_list, words
from service.documents.cutting_plan import svg as cutting_plan_svg
from service.documents.quotation import html as quotation_html
from service.documents.rig_sheet import svg as rig_sheet_svg
from service.documents.speech import Speech
from service.documents.svg.paper import LYING, STANDING
from service.wording import messages
from tests.counts import some, some_of
from tests.documents import made, plans, rigs
from tests.documents.clearances import crossing
from tests.documents.picture import Picture
from tests.documents.quotes import CASES, case, demo, tables
from tests.documents.test_bench_sheet import planned, proof
from tests.documents.test_cutting_plan_svg import crowded, lively
from tests.documents.test_rig_sheet_svg import EVERY as RIGS

CATALOGUE = tables()[0]
KNOWN = Known(CATALOGUE.index.article, CATALOGUE.index.thread, kept=True)
# English words that German has not, of those that the papers say in English.
ENGLISH = re.compile(
    r"\b(?:the|and|of|with|without|wire|wires|from|is|are|by|to|at|on|or|for|not|no|its|it|this|that|be|has|have|cut|cuts|length|lengths|left|kept|page|pages|piece"
    r"|pieces|hold|thread|threads|bore|eye|bare|end|ends|upper|lower|port|starboard|centre|ready|confirm|known|unknown|measured|finished|shop|quote|none|each|spool"
    r"|offcut|scrap|sleeve|sleeves|shank|swage|screw|body|toggle link|pin|fork|stud|boat|customer|more|most|least|nothing|other|open|long|longer|equal|alike|see|use)\b",
    re.IGNORECASE,
)
CODE = re.compile(r"\( [a-z]+(?:-[a-z]+)+ \)")  # of a finding, the same in every language
INCHES = re.compile(r"\d (?:in|ft)\b|\d\.\d+ (?:mm|m|kN|kg)\b")
TYPED = frozenset(
    {
        "sku",
        "tag",
        "label",
        "object",
        "stock",
        "remnant_id",
        "number",
        "note",
        "quote",
        "for_quote",
        "checksum",
        "id",
        "email",
        "legal",
        "title",
        "city",
        "street",
    }
)


class Missed(NullTranslations):
    """What was said without having a German text."""

    def __init__(self) -> None:
        super().__init__()
        self.texts: set[str] = set()

    def gettext(self, message: str) -> str:
        self.texts.add(message)
        return message

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        self.texts.add(msgid1)
        return msgid1 if n == 1 else msgid2


@pytest.fixture
def missed(monkeypatch: pytest.MonkeyPatch) -> Missed:
    found = Missed()
    monkeypatch.setattr(messages("de"), "_fallback", found)
    return found


def visible(paper: bytes) -> str:
    """What is read of a page or drawing, its images' and its own text alternatives among it."""
    text = re.sub(r"<(style|pattern)\b.*?</\1>", " ", paper.decode(), flags=re.DOTALL)
    alternatives = re.findall(r'(?:alt|aria-label|data-name)="([^"]*)"', text)
    return " ".join(unescape(" ".join([re.sub(r"<[^>]+>", " ", text), *alternatives])).split())


def typed(value: Any, name: str = "") -> Iterator[str]:
    """What the shop and its customers wrote, in a document."""
    if isinstance(value, dict):
        for key, each in value.items():
            yield from typed(each, key if name not in ("seller", "customer", "boat") else "note")
    elif isinstance(value, list):
        for each in value:
            yield from typed(each, name)
    elif isinstance(value, str) and len(value) > 1 and (name in TYPED or name == "boat"):
        yield value


def words_of(document: Any) -> list[str]:
    """The same on one line, the longest first."""
    return [" ".join(each.split()) for each in sorted(set(typed(document)), key=len, reverse=True)]


def english(paper: bytes, words: list[str]) -> list[str]:
    text = CODE.sub("§", visible(paper))
    for each in words:
        text = text.replace(each, "§")
    said = [text[max(0, found.start() - 40) : found.end() + 40] for found in ENGLISH.finditer(text)]
    return said + [text[max(0, found.start() - 40) : found.end() + 20] for found in INCHES.finditer(text)]


def quotes() -> dict[str, Callable[[], dict[str, Any]]]:
    made: dict[str, Callable[[], dict[str, Any]]]
    made = {name: partial(case, name) for name in CASES if name not in ("first release", "note of 5000")}
    made |= {f"demo {place}": partial(demo, place, delivery="ship") for place in range(len(demo_names()))}
    return made | {status: (lambda status=status: {**demo(1), "status": status}) for status in (*ENDED, "accepted")}


@cache
def cutting_plans() -> dict[str, dict[str, Any]]:
    made = {}
    for place, name in enumerate(demo_names()):
        made[name] = {"id": "P-1", **(planned(demo(place)).plan or {})}
    crowd = [plans.use(f"SP-{at}#1", 100000, [("A", "Tern", 4000)]) for at in range(200)]
    bought = plans.wire(
        [plans.use("N-1 for Q-2026-000042", 100000, [("A", "Tern", 4000)], kept=False)], bought_for_the_job=True, for_quote="Q-2026-000042"
    )
    bought["uses"][0]["remnant_goes_to"] = "customer"
    return made | {
        "lively": {**lively(), "cautions": []}, "crowded": crowded(), "many": plans.plan([plans.wire(crowd)]), "nothing": plans.plan([]),
        "not planned": plans.plan([plans.wire([], proven=False, unplanned=[plans.unplanned(reason="no_stock")])]), "bought": plans.plan([bought]),
    }  # fmt: skip


def with_plan(quote: dict[str, Any]) -> Known:
    plans_of_demo = cutting_plans()
    place = next(
        (name for name, each in zip(demo_names(), map(demo, range(len(demo_names()))), strict=True) if each["boat"] == quote["boat"]), None
    )
    return replace(KNOWN, plan=plans_of_demo[place] if place else plans_of_demo["lively"])


def papers() -> Iterator[tuple[str, bytes, list[str]]]:
    """Each with what the shop and its customers wrote on it."""
    for name, make in some_of([*quotes().items()], 2):
        quote = make()
        own = words_of(quote)
        yield f"quotation, {name}", made.of(quotation_html.page)(quote, "de"), own
        yield f"rig sheet, {name}", made.of(rig_sheet_svg.drawing)(quote, "de"), own
        for known in (with_plan(quote), Known()):
            page = made.of(bench_sheet_html.page)({"checksum": "x", **quote}, known, "de")
            yield f"bench sheet, {name}", page, words_of([quote, known.plan])
        for assembly in quote["assemblies"][: some(12, 2)]:
            yield f"drawing, {name}, {assembly['tag']}", made.drawing(quote, assembly, "de"), own
    for document, several in groupby(some_of(list(rigs.every()), 10), lambda each: each[1]):
        own = words_of(document)
        for name, _, assembly in several:
            yield f"drawing, {name}", made.drawing(document, assembly, "de"), own
    for name, plan in cutting_plans().items():
        yield f"cutting plan, {name}", cutting_plan_svg.drawing(plan, "de"), words_of(plan)


def test_no_paper_says_in_german_what_has_no_german_text_or_an_english_word(missed: Missed) -> None:
    found = {}
    for name, paper, own in papers():
        if said := english(paper, own):
            found[name] = said[:5]
    assert found == {}
    assert missed.texts == set()


@pytest.mark.parametrize("name", some_of([*RIGS], 2))
def test_the_lettering_of_a_german_rig_sheet_keeps_clear(name: str) -> None:
    assert crossing(Picture(ET.fromstring(made.of(rig_sheet_svg.drawing)(RIGS[name], "de"))), STANDING.width) == []  # noqa: S314  # our own bytes


EVERY = some_of(rigs.every(), 10)


@pytest.mark.parametrize(("name", "document", "assembly"), EVERY, ids=[name for name, _, _ in EVERY])
def test_the_lettering_of_a_german_drawing_keeps_clear_and_is_whole(name: str, document: Any, assembly: Any) -> None:
    picture = Picture(ET.fromstring(made.drawing(document, assembly, "de")))  # noqa: S314  # our own bytes
    assert crossing(picture, STANDING.width) == []
    assert [text.said for text in picture.texts if text.said.endswith("…")] == []


@pytest.mark.parametrize("name", ["lively", "crowded", "not planned", "bought"])
def test_the_lettering_of_a_german_plan_keeps_within_its_room(name: str) -> None:
    picture = Picture(ET.fromstring(cutting_plan_svg.drawing(cutting_plans()[name], "de")))  # noqa: S314  # our own bytes
    texts = sorted((text for text in picture.texts if text.said), key=lambda text: text.top)
    for at, text in enumerate(texts):
        assert 7 <= text.left <= text.right <= LYING.width - 7
        assert text.clip[0] - 0.01 <= text.left <= text.right <= text.clip[1] + 0.01
        for other in texts[at + 1 :]:
            assert other.top >= text.bottom or text.right <= other.left + 0.01 or other.right <= text.left + 0.01, (text, other)


def test_the_bench_list_keeps_its_codes_and_says_the_rest_in_german() -> None:
    listed = bench_list.bench_list(cutting_plans()["not planned"], "de").decode("utf-8-sig")
    head, row = listed.splitlines()
    assert head == ",".join(bench_list.COLUMNS)
    assert row.startswith('unplanned,WIRE-1X19-316-3-16IN,"Draht 1x19, 316, 3/16 Zoll"')
    assert "Von diesem Draht ist nichts im Lager" in row
    assert "1312 Fuß" in row  # 400 m / 0.3048 = 1312.3 ft
    kept = bench_list.bench_list(cutting_plans()["bought"], "de").decode("utf-8-sig")
    assert "N-1 für Q-2026-000042" in kept
    assert "Der Kunde hat es bezahlt." in kept


def test_a_stored_plan_of_boats_is_titled_in_the_language_of_the_paper() -> None:
    german, english_speech = Speech("de", "metric"), Speech("en", "metric")
    several = {"title": "Kittiwake and 2 more", "quotes": [{}, {}, {}]}
    assert words.title(several, english_speech) == "Kittiwake and 2 more"
    assert words.title(several, german) == "Kittiwake und 2 weitere"
    assert words.title({"title": "a boat without a name"}, german) == "ein Boot ohne Namen"
    assert (
        words.title({"title": "ein Boot ohne Namen und 1 weitere", "quotes": [{}, {}]}, english_speech)
        == "a boat without a name and 1 more"
    )
    assert words.title({"title": "Sturm and 2 more"}, german) == "Sturm and 2 more"  # a boat's name: the plan is of one quote


def test_what_breaks_first_is_named_in_the_language_of_the_paper_from_its_finding() -> None:
    (cap,) = (copy.deepcopy(each) for each in demo(0)["assemblies"] if each["tag"] == "CAP-P")
    cap["strength"].update(kN="11.00", weakest="the upper fork")
    values = {"member": {"kind": "phrase", "phrase": "member.turnbuckle_screw_fork", "values": {}}}
    cap["findings"] = [{"code": "weaker-than-wire", "severity": "ask", "pointer": "", "values": values, "message": "", "remedy": ""}]
    assert proof(cap, Speech("de", "metric"))["says"].startswith("Gabel-Spindel des Wantenspanners bricht bei 11,00 kN")
    assert Speech("de", "metric").shop.phrase(Phrase("member.turnbuckle_screw_fork")) == "Gabel-Spindel des Wantenspanners"
    cap["findings"] = []
    assert proof(cap, Speech("de", "metric"))["says"].startswith("the upper fork bricht")  # as it was stored

"""The German quotation: every finding and every name of the demo tables in German, with the quote's own words below, marked as English."""

from __future__ import annotations

import copy
import csv
import re
from pathlib import Path

import html5lib
import pytest
from babel.messages.catalog import Message
from babel.messages.pofile import read_po

import pricing.data
import pricing.quote  # registers every code of a finding
from pricing.cautions import cautions
from pricing.document import read
from pricing.findings import retold
from pricing.wording import voice_for
from service.documents import names
from service.documents.quotation import html
from service.documents.speech import Speech
from service.wording import FOLDER
from tests.documents import made
from tests.documents.quotes import demo, requests
from tests.documents.test_quotation import text_of

page = made.of(html.page)
BOATS = range(len(requests()))
GERMAN = Speech("de", "metric")
XHTML = "{http://www.w3.org/1999/xhtml}"


def messages(context: str) -> dict[str, Message]:
    with (FOLDER / "de.po").open("rb") as file:
        return {each.id: each for each in read_po(file, locale="de") if each.context == context}


def test_findings_of_an_earlier_release_keep_the_words_they_were_issued_in_and_are_marked_as_english() -> None:
    document = copy.deepcopy(demo(2))
    for each in document["assemblies"]:
        for finding in each["findings"]:
            for name in ("values", "wording", "reader"):
                del finding[name]
            finding["message"] = f"As it was said of {finding['code']}."
    html = page(document, "de").decode()
    items = {"".join(item.itertext()): item.get("lang") for item in html5lib.parse(html).iter(f"{XHTML}li")}
    said = {finding["message"] for each in document["assemblies"] for finding in each["findings"]}
    assert said
    for message in said:
        assert {lang for text, lang in items.items() if message in text} == {"en"}


@pytest.mark.parametrize("place", BOATS)
def test_a_german_page_has_its_findings_in_german_and_none_of_the_quotes_own_sentences(place: int) -> None:
    document = demo(place)
    quote, shown = read(document), text_of(page(document, "de"))
    assert "Nichts hier ersetzt eine Begutachtung." in shown
    assert not [each for each in document["cautions"] if each in shown]
    for finding in [*quote.findings, *(each for one in quote.assemblies for each in one.findings)]:
        said = retold(finding, voice_for("de", quote.display_units, "owner"))
        assert said is not None
        assert finding.message not in shown
        assert (said.message in shown) == (finding.reader == "owner")


def test_what_only_the_shop_can_settle_is_not_on_the_customers_paper() -> None:
    document = copy.deepcopy(demo(0))
    assembly = document["assemblies"][0]
    growth = {"code": "growth-derived", "severity": "ask", "reader": "shop", "pointer": "/assemblies/0/upper/terminal", "wording": None, "values": {}, "message": "Only the shop knows.", "remedy": "Swage one."}  # fmt: skip
    assembly.update(readiness="confirm", findings=[growth])
    for language, words in (("en", "The shop checks something about the parts of this wire itself"), ("de", "prüft die Werkstatt selbst")):
        shown = text_of(page(document, language))
        assert "Only the shop knows." not in shown
        assert words in shown


@pytest.mark.parametrize(("of", "page_in"), [("de", "en"), ("de", "de"), ("en", "de"), ("en", "en")])
def test_cautions_are_in_the_language_of_the_page_whatever_the_quote_s_is(of: str, page_in: str) -> None:
    shown = text_of(page({**demo(0), "cautions": cautions(of)}, page_in))
    assert all(each in shown for each in cautions(page_in))


def test_a_german_drawing_has_its_numbers_words_and_names_in_german() -> None:
    document = demo(1)
    drawn = made.drawing(document, document["assemblies"][0], "de").decode()
    target, seen = document["assemblies"][0]["target_length"]["text"], drawn.partition("</desc>")[2]
    assert "." in target
    assert f"fertig {target.replace('.', ',')}" in seen
    assert "sichtbar, obere Spindel" in seen
    assert "T-Terminal, gewalzt" in seen
    assert not re.search("exposed|swage|Wire|kept", seen)


def demo_names() -> list[str]:
    tables = [each for each in sorted(Path(pricing.data.__file__).parent.glob("*.csv")) if each.stem != "edition"]
    rows = [row for table in tables for row in csv.DictReader(table.read_text(encoding="utf-8").splitlines())]
    return sorted({row["name"] for row in rows if row.get("name")})


def test_every_name_of_the_demo_tables_is_put_together_from_known_words() -> None:
    assert len(demo_names()) > 500
    assert [each for each in demo_names() if GERMAN.name(each) is None] == []


@pytest.mark.parametrize("place", BOATS)
def test_whatever_a_line_of_prices_says_is_german(place: int) -> None:
    document = demo(place, delivery="ship")
    said = [line["name"] for line in document["lines"]] + [line["note"] for line in document["lines"] if line["note"]]
    said += [each["reason"] for line in document["lines"] for each in line["allowances"] + line["charges"]]
    said += [each["reason"] for each in document["charges"]]
    assert [each for each in said if GERMAN.name(each) is None] == []


@pytest.mark.parametrize(
    ("name", "german"),  # by hand; the technical words are those of the form's German
    [
        ("Stud, swage, for 3/32 in or 2.5 mm wire, M6 x 1 left-hand", "Gewindeterminal, gewalzt, für Draht 3/32 Zoll oder 2,5 mm, M6 x 1 Linksgewinde"),
        ("Scrap, Wire 1x19, 316, 1/4 in", "Verschnitt, Draht 1x19, 316, 1/4 Zoll"),
        ("Scrap, some wire of the shop", "Verschnitt, some wire of the shop"),
        ("4 % of 10.209 m: 0.408 m", "4 % von 10,209 m: 0,408 m"),
        ("Turnbuckle body, open, M10 x 1.5", "Körper des Wantenspanners, offen, M10 x 1.5"),  # 1.5: part of a designation
        ("Price list fleet", "Preisliste fleet"),
    ],
)  # fmt: skip
def test_a_name_from_known_words_is_german_with_its_sizes_as_germans_write_them(name: str, german: str) -> None:
    assert GERMAN.name(name) == german


@pytest.mark.parametrize(
    "name",
    ["", "Wire", "Fork, swage, for 5 mm wire", "Cotter pin 3.2 mm, bent", "Clevis pin 8 mm, grip it", "Gabel", "Wire 1x19, 316, 5 mm\n"],
)
def test_a_name_that_says_anything_else_stays_as_the_shop_has_it(name: str) -> None:
    assert GERMAN.name(name) is None


def test_every_pattern_is_translated_with_its_places_and_nothing_else_is() -> None:
    found = messages("name")
    assert set(found) == {*names.PATTERNS, names.OR}
    for pattern, message in found.items():
        assert message.string not in ("", pattern)
        assert sorted(re.findall(r"%\(\w+\)s|%%", pattern)) == sorted(re.findall(r"%\(\w+\)s|%%", message.string))

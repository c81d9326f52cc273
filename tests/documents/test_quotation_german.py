"""The German quotation: every finding and every name of the demo tables in German, the quote's own words beneath, and marked as English."""

from __future__ import annotations

import base64
import csv
import re
from pathlib import Path

import html5lib
import pytest
from babel.messages.catalog import Message
from babel.messages.pofile import read_po

import pricing.data
import pricing.quote  # registers every code of a finding
from pricing.findings import CODES
from service.documents.quotation import names, speech
from service.documents.quotation.speech import Speech
from service.documents.quotation_html import page
from tests.documents.quotes import demo, requests
from tests.documents.test_quotation import text_of

BOATS = range(len(requests()))
GERMAN = Speech("de", "metric")
XHTML = "{http://www.w3.org/1999/xhtml}"


def messages(context: str) -> dict[str, Message]:
    with (speech._FOLDER / "de" / "quotation.po").open("rb") as file:
        return {each.id: each for each in read_po(file, locale="de") if each.context == context}


def test_every_code_of_a_finding_says_in_german_what_it_means_and_what_to_do() -> None:
    assert set(messages("finding")) == set(CODES)
    for code in CODES:
        said = GERMAN.finding(code)
        assert said is not None, code
        assert all(re.fullmatch(r"[A-ZÄÖÜ0-9].{15,}\.", each) for each in said), code
        assert not any(re.search(r"[`_]|\b(the|and|not|wire|say|measure)\b", each) for each in said), code  # no field's name and no English


def test_a_german_sentence_goes_with_the_meaning_that_the_code_has_now() -> None:
    """The comment of each is the English that was translated: who changes it looks at the German, too."""
    assert {code: each.auto_comments for code, each in messages("finding").items()} == {
        code: [each.meaning] for code, each in CODES.items()
    }


def test_english_and_a_code_without_words_keep_the_words_of_the_quote() -> None:
    assert Speech("en", "metric").finding("pull-missing") is None
    assert GERMAN.finding("of-another-release") is None
    document = demo(2)
    for each in document["assemblies"]:
        for finding in each["findings"]:
            finding["code"] = "of-another-release"
    shown = text_of(page(document, "de"))
    assert all(finding["message"] in shown for each in document["assemblies"] for finding in each["findings"])


@pytest.mark.parametrize("place", BOATS)
def test_the_german_stands_first_and_the_words_of_the_quote_beneath_it_marked_as_english(place: int) -> None:
    document = demo(place)
    tree = html5lib.parse(page(document, "de").decode())
    items = [("".join(item.itertext()), item) for item in tree.iter(f"{XHTML}li")]
    for finding in [*document["findings"], *(each for one in document["assemblies"] for each in one["findings"])]:
        words = f"{finding['message']} {finding['remedy']}"
        text, item = next((text, item) for text, item in items if words in text)
        assert text.startswith(" ".join(GERMAN.finding(finding["code"]) or "?"))
        assert words in {"".join(each.itertext()) for each in item.iter(f"{XHTML}bdi") if each.get("lang") == "en"}


def test_two_findings_of_one_code_are_explained_once_with_the_words_of_both() -> None:
    document = demo(2)
    (assembly,) = [each for each in document["assemblies"] if each["tag"] == "MIZZEN BACK"]
    blunders = [each for each in assembly["findings"] if each["code"] == "reading-blunder"]
    assert len(blunders) == 2
    shown = text_of(page(document, "de"))
    meaning, _ = GERMAN.finding("reading-blunder") or ("", "")
    assert shown.count(meaning) == 1
    assert all(shown.count(each["message"]) == 1 for each in blunders)


@pytest.mark.parametrize("place", BOATS)
def test_a_german_page_says_what_is_english_and_its_cautions_are_not(place: int) -> None:
    document = demo(place)
    shown = text_of(page(document, "de"))
    assert "kleiner darunter steht auf Englisch, was festgestellt wurde" in shown
    assert "Nichts hier ersetzt eine Begutachtung." in shown
    assert not [each for each in document["cautions"] if each in shown]


def test_a_german_drawing_has_its_numbers_words_and_names_in_german() -> None:
    document = demo(1)
    (drawn,) = (base64.b64decode(each).decode() for each in re.findall(r"base64,([^\"]+)", page(document, "de").decode())[:1])
    target, seen = document["assemblies"][0]["target_length"]["text"], drawn.partition("</desc>")[2]
    assert "." in target
    assert f"fertig {target.replace('.', ',')}" in seen
    assert "frei, obere Spindel" in seen
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
        ("Stud, swage, for 3/32 in or 2.5 mm wire, M6 x 1 left-hand", "Gewindebolzen, gewalzt, für Draht 3/32 in oder 2,5 mm, M6 x 1 Linksgewinde"),
        ("Scrap, Wire 1x19, 316, 1/4 in", "Verschnitt, Draht 1x19, 316, 1/4 in"),
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

"""The quotation against its document, a calendar, and what Babel's CLDR is known to write."""

from __future__ import annotations

import copy
import io
import re
from datetime import date
from html import unescape
from typing import Any

import html5lib
import pytest
from babel.messages.catalog import Message
from babel.messages.pofile import read_po
from jinja2.ext import babel_extract
from pypdf import PdfReader

from pricing.assembly import MASTS, ROLES, SIDES
from pricing.cautions import CAUTIONS
from service.documents.assembly import stage
from service.documents.quotation import speech, workdays
from service.documents.quotation.speech import LANGUAGES, Speech
from service.documents.quotation_html import page
from service.documents.quoted import address_lines
from service.pdf.press import Press
from tests.documents.quotes import NASTY, case, demo, fleet, none_ready, requests
from tests.documents.test_bench_sheet import ATTACK
from tests.service.test_pdfs import needs_pango

TEMPLATE = speech.Path(speech.__file__).with_name("page.html").read_text(encoding="utf-8")
BOATS = range(len(requests()))


def text_of(html: bytes) -> str:
    """What a reader reads, spaces made one."""
    words = re.sub(r"<style>.*?</style>", " ", html.decode(), flags=re.DOTALL)
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", words)).split())


@pytest.mark.parametrize(
    ("start", "count", "country", "expected"),
    [
        # 2026-11-25 is a Wednesday; US Thanksgiving is the fourth Thursday of November, the 26th (5 U.S.C. 6103)
        (date(2026, 11, 25), 1, None, date(2026, 11, 26)),
        (date(2026, 11, 25), 1, "US", date(2026, 11, 27)),
        (date(2026, 11, 25), 7, None, date(2026, 12, 4)),
        (date(2026, 11, 25), 7, "US", date(2026, 12, 7)),
        # Christmas Eve 2026 is a Thursday; 25 and 26 December are free in Germany, the 26th is a Saturday, so Monday the 28th comes next
        (date(2026, 12, 24), 1, "DE", date(2026, 12, 28)),
        # Reformation Day, 31 October, is free in Hamburg since 2018 and not in Bavaria; in 2028 it is a Tuesday
        (date(2028, 10, 30), 1, "DE-HH", date(2028, 11, 1)),
        (date(2028, 10, 30), 1, "DE-BY", date(2028, 10, 31)),
        (date(2026, 11, 27), 0, "US", date(2026, 11, 27)),
        (date(2026, 11, 28), 1, None, date(2026, 11, 30)),  # from a Saturday
    ],
)
def test_business_days_are_those_of_a_calendar(start: date, count: int, country: str | None, expected: date) -> None:
    assert workdays.after(start, count, country) == expected


@pytest.mark.parametrize(
    ("country", "known"), [("US", True), ("US-RI", True), ("DE-HH", True), ("XX", False), ("US-QQ", False), ("../x", False)]
)
def test_a_country_without_holidays_is_told(country: str, known: bool) -> None:
    assert workdays.known(country) is known


@pytest.mark.parametrize(
    (
        "language",
        "units",
        "money",
        "day",
        "metric",
    ),  # CLDR's patterns for en-US, en-GB and de-DE, from memory; spaces of any kind made plain
    [
        (
            "en",
            "imperial",
            "$1,406.45",
            "November 25, 2026",
            "9098.8 mm",
        ),  # a length has no grouping: of `9,098 mm` nobody knows which comma it is
        ("en", "metric", "US$1,406.45", "25 November 2026", "9098.8 mm"),
        ("de", "metric", "1.406,45 $", "25. November 2026", "9098,8 mm"),
    ],
)
def test_money_days_and_lengths_are_written_as_the_language_does(language: str, units: str, money: str, day: str, metric: str) -> None:
    said = Speech(language, units)
    assert " ".join(said.money("1406.45", "USD").split()) == money
    assert said.day("2026-11-25") == day
    assert metric in said.lengths({"mm": "9098.845"})
    assert "29 ft 10 7/32 in" in said.lengths({"mm": "9098.845"})  # 358.2222 in = 358 7.11/32


def test_a_yen_has_no_cents_and_a_dinar_three_digits() -> None:
    """ISO 4217's minor units: JPY 0, KWD 3."""
    assert "." not in Speech("en", "metric").money("1406", "JPY")
    assert Speech("en", "metric").money("1.5", "KWD").endswith("1.500")


def asked_for(template: str) -> set[str]:
    """Every text that the page asks for, in either kind of quotation marks, with the singular of what is counted: by Jinja's own extraction."""
    found = babel_extract(io.BytesIO(template.encode()), ["_", "gettext", "ngettext"], [], {"newstyle_gettext": "true"})
    return {text if isinstance(text, str) else text[0] for _, _, text, _ in found if text}  # None: asked for with what the quote says


# the words of the drawings, as their sources ask for them
DRAWN = {
    literal
    for path in speech.Path(stage.__file__).parent.glob("*.py")
    for literal in re.findall(r'(?:tongue\.say|_said)\((?:\s*stage, )?\s*"([^"]+)"', path.read_text(encoding="utf-8"))
} | {"exposed, lower screw"}


def test_texts_in_either_quotation_marks_and_counted_ones_are_found() -> None:
    template = """{{ _("one") }} {{ _('two') }} {{ ngettext("a %(num)s", 'b %(num)s', 3) }} {% set x = _('it"s') %}"""
    assert asked_for(template) == {"one", "two", "a %(num)s", 'it"s'}
    assert len(asked_for(TEMPLATE)) > 70
    assert {"finished %(length)s", "measured %(length)s", " (kept)", "exposed, upper screw"} <= DRAWN


def test_german_has_every_text_of_the_page_and_every_role() -> None:
    with (speech._FOLDER / "de" / "quotation.po").open("rb") as file:
        catalogue = read_po(file, locale="de")
    asked = asked_for(TEMPLATE) | DRAWN | set(CAUTIONS) | {each.replace("_", " ").capitalize() for each in ROLES} | set(SIDES) | set(MASTS)
    said = [each for each in catalogue if each.id and not each.context]  # findings and names have contexts, and tests of their own
    missing = sorted(each for each in asked if each not in catalogue or not catalogue[each].string)
    assert missing == []
    assert sorted({_singular(each) for each in said} - asked) == []  # nothing is translated that nobody says any more
    for message in catalogue:
        if isinstance(message.id, tuple):
            assert len(message.string) == 2
            assert all(message.string)
        if message.id and isinstance(message.id, str):
            assert sorted(re.findall(r"%\((\w+)\)s", message.id)) == sorted(re.findall(r"%\((\w+)\)s", str(message.string))), message.id


def _singular(message: Message) -> str:
    return message.id if isinstance(message.id, str) else message.id[0]


@pytest.mark.parametrize("place", BOATS)
def test_every_amount_and_length_of_the_document_stands_on_the_page(place: int) -> None:
    document = demo(place)
    shown, said = text_of(page(document, "en", "US")), Speech("en", document["display_units"])
    for amount in [line["net"] for line in document["lines"]] + [
        document["totals"][name] for name in ("lines", "tax_exclusive", "payable")
    ]:
        assert " ".join(said.money(amount, document["currency"]).split()) in shown
    for each in document["assemblies"]:
        for name in ("measured_length", "target_length"):
            if each[name]:
                assert said.lengths(each[name])[0] in shown, (each["tag"], name)
        for finding in each["findings"]:
            assert " ".join(finding["message"].split()) in shown
            assert " ".join(finding["remedy"].split()) in shown
    for caution in document["cautions"]:
        assert caution in shown
    assert document["checksum"] in shown
    assert document["number"] in shown


@pytest.mark.parametrize("place", BOATS)
def test_each_assembly_has_its_price_beside_its_name_and_they_add_up(place: int) -> None:
    document = demo(place)
    shown, said = text_of(page(document)), Speech("en", document["display_units"])
    for each in document["assemblies"]:
        if each["price"]:
            assert re.search(rf"{re.escape(each['tag'])} [^$]*{re.escape(said.money(each['price']['net'], 'USD'))}", shown), each["tag"]
    assert f"Sum of the assemblies {said.money(document['totals']['lines'], 'USD')}" in shown


def test_the_seller_stands_in_the_head_with_address_contact_tax_number_and_legal_line() -> None:
    shown = text_of(page(demo(0)))
    assert (
        "Halfmoon Cove Rigging Loft 14 Net Loft Lane, Halfmoon Cove, RI 00000, US Telephone: +1 401 555 0142"
        " E-mail: loft@halfmoon-cove.example Tax number: 00-0000000"
    ) in shown
    assert "This shop is invented for demonstration: it sells nothing." in shown


@pytest.mark.parametrize(
    ("country", "expected"),  # as their posts write it, from memory: code last in North America, before the town in Germany and France
    [
        ("US", ["1 Quay", "Port, RI 00000", "US"]), ("CA", ["1 Quay", "Port, RI 00000", "CA"]), ("DE", ["1 Quay", "00000 Port", "RI", "DE"]),
        (None, ["1 Quay", "00000 Port", "RI"]),
    ],
)  # fmt: skip
def test_an_address_is_written_as_its_country_does(country: str | None, expected: list[str]) -> None:
    address = {"street": "1 Quay", "city": "Port", "region": "RI", "postal_code": "00000", "country": country}
    assert address_lines({"name": "Loft", "address": address}) == expected
    assert address_lines({"name": "Loft"}) == address_lines({"name": "Loft", "address": None}) == []


def test_a_quote_of_the_first_release_is_read_as_well() -> None:
    shown = text_of(page({**case("first release"), "checksum": "sha256:0"}, "de"))
    assert "Summe der Zeilen" in shown
    assert "Telefon" not in shown


def test_nothing_priced_has_no_last_day_no_price_and_says_why() -> None:
    document = none_ready()
    shown = text_of(page(document))
    assert "Nothing is priced: no assembly can be built from these numbers." in shown
    assert "Valid until" not in shown
    assert "$0" not in shown
    assert "$" not in shown
    assert "Firm until" not in shown


def test_freight_that_is_not_listed_is_not_said_to_be_charged() -> None:
    document = demo(1, delivery="ship")
    assert "Shipping as charged above." in text_of(page(document))
    document["charges"] = [each for each in document["charges"] if each["rule"] != "freight"]
    shown = text_of(page(document))
    assert "Shipping as charged above." not in shown
    assert "Shipping: the shop has no listed price" in shown


def test_a_link_begins_with_the_services_address_and_paper_has_none_without() -> None:
    document = demo(1)
    at = f"/v1/quotes/{document['id']}"
    assert f'<a href="{at}">{at}</a>' in page(document).decode()
    assert f'<a href="https://shop.example/q{at}">' in page(document, base="https://shop.example/q", for_paper=True).decode()
    assert "<a " not in page(document, for_paper=True).decode()
    assert at in page(document, for_paper=True).decode()


def test_it_can_be_accepted_as_it_stands_or_with_conditions() -> None:
    html = page(demo(0)).decode()
    assert html.count('class="tick"') == 2
    shown = text_of(html.encode())
    assert "as it stands; what is asked under “To confirm before cutting” I have checked and confirm;" in shown
    for line in ("Name in capitals", "Place and day", "Signature"):
        assert line in shown
    settled = {**demo(1), "findings": []}
    assert not any(each["readiness"] != "ready_to_cut" for each in settled["assemblies"])
    assert "I have checked and confirm" not in text_of(page(settled))


def test_what_is_held_is_named_and_cannot_be_signed() -> None:
    document = demo(2)
    assert document["left_out"] == ["CAP/S"]
    shown = text_of(page(document))
    assert "Not in the total, since it cannot be built from these numbers: CAP/S" in shown
    assert "cannot be accepted as it is" in shown
    assert "I accept quotation" not in shown
    assert "I accept quotation" in text_of(page(demo(0)))


@pytest.mark.parametrize("status", ["declined", "withdrawn", "superseded", "expired"])
def test_an_ended_quotation_says_so_and_has_no_line_to_sign(status: str) -> None:
    shown = text_of(page({**demo(0), "status": status}))
    assert "can no longer be accepted" in shown
    assert "I accept quotation" not in shown


def test_the_lead_time_counts_holidays_only_where_they_are_known() -> None:
    """Seven business days from Wednesday 25 November 2026: Friday 4 December; with Thanksgiving Monday 7 December."""
    assert "ready on December 4, 2026. Public holidays are not counted." in text_of(page(demo(0)))
    counted = text_of(page(demo(0), "en", "US"))
    assert "ready on December 7, 2026." in counted
    assert "not counted" not in counted


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("place", BOATS)
def test_the_page_is_html_and_the_same_each_time(place: int, language: str) -> None:
    made = page(demo(place), language)
    html5lib.HTMLParser(strict=True).parse(made.decode())
    assert page(demo(place), language) == made


def test_every_text_is_shown_and_none_is_run() -> None:
    document = copy.deepcopy(demo(0))
    document.update(
        note=ATTACK,
        seller=dict.fromkeys(("name", "phone", "email", "tax_number", "legal"), ATTACK),
        cautions=[ATTACK],
        customer={"name": ATTACK, "reference": ATTACK, "email": ATTACK},
    )
    document["boat"]["name"] = ATTACK
    for each in document["assemblies"]:
        each["tag"] = f"{each['tag']} {ATTACK}"
        each["wire"]["name"] = ATTACK
        for part in each["parts"]:
            part["name"] = ATTACK
        for finding in each["findings"]:
            finding.update(message=ATTACK, remedy=ATTACK)
    for line in document["lines"]:
        line.update(name=ATTACK, note=ATTACK)
    for language in LANGUAGES:
        html = page(document, language).decode()
        assert "<script" not in html
        assert "onerror=alert(1)>" not in html
        assert html.count("</style>") == 2
        assert unescape(html).count("<script>alert(1)</script>") > 50


@pytest.mark.parametrize("text", NASTY)
def test_a_name_in_any_script_is_shown_and_set_apart(text: str) -> None:
    document: dict[str, Any] = {**demo(1), "boat": {"name": text, "length_overall": None}, "note": text * 40}
    html5lib.HTMLParser(strict=True).parse(page(document).decode())
    assert "<bdi>" in page(document).decode()


def test_a_hundred_and_twenty_assemblies_and_a_boat_with_none_ready() -> None:
    many = fleet(120)
    assert page(many).count(b'class="assembly"') == 120
    none = copy.deepcopy(demo(2))
    for each in none["assemblies"]:
        each["readiness"] = "hold"
    none["left_out"] = [each["tag"] for each in none["assemblies"]]
    assert b"<img" not in page(none)


def pressed(html: bytes) -> bytes:
    """As the service has it made: by a process of its own."""
    return Press().order("a page", lambda: html, lambda _: None).result(timeout=120)


@needs_pango
def test_the_pdf_says_what_the_document_says_and_numbers_its_pages() -> None:
    document = demo(0, note="帆走学校 طاقم الأشرعة ⛵ 7*7")
    made, again = (pressed(page(document)) for _ in range(2))
    assert made == again
    pages = [" ".join(each.extract_text().split()) for each in PdfReader(io.BytesIO(made)).pages]
    shown, said = " ".join(pages), Speech("en", "imperial")
    for amount in [line["net"] for line in document["lines"]] + [document["totals"]["payable"]]:
        assert said.money(amount, "USD") in shown
    for each in document["assemblies"]:
        assert each["target_length"] is None or said.lengths(each["target_length"])[0] in shown
    assert all(f"{place} / {len(pages)}" in each for place, each in enumerate(pages, 1))

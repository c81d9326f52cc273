"""The quotation against its document, a calendar, and what Babel's CLDR is known to write."""

from __future__ import annotations

import copy
import io
import re
from datetime import date
from decimal import Decimal
from html import unescape
from pathlib import Path
from typing import Any

import html5lib
import pytest
from babel.messages.catalog import Message
from babel.messages.pofile import read_po
from jinja2.ext import babel_extract
from pypdf import PdfReader

from pricing.model import Address, Length
from service.documents import pdf
from service.documents.assembly_drawing import stage
from service.documents.quotation import content, html, prices
from service.documents.quotation.paper import TEMPLATE as PAPER
from service.documents.quotation.paper import paper
from service.documents.quoted import address_lines
from service.documents.speech import Speech
from service.encoding.languages import LANGUAGES
from service.lifecycle import business_days
from service.wording import FOLDER
from tests.counts import some_of
from tests.documents import made
from tests.documents.quotes import NASTY, case, demo, fleet, none_ready, requests
from tests.documents.test_bench_sheet import ATTACK

page = made.of(html.page)
TEMPLATE = "\n".join(each.read_text(encoding="utf-8") for each in sorted(Path(html.__file__).parent.glob("*.html")))
BOATS = range(len(requests()))


def text_of(html: bytes) -> str:
    """What a reader reads, spaces made one."""
    words = re.sub(r"<style>.*?</style>", " ", html.decode(), flags=re.DOTALL)
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", words)).split())


def length_of(document: dict[str, str]) -> Length:
    return Length(Decimal(document["mm"]), document["text"])


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
    assert business_days.after(start, count, country) == expected


@pytest.mark.parametrize(
    ("country", "known"), [("US", True), ("US-RI", True), ("DE-HH", True), ("XX", False), ("US-QQ", False), ("../x", False)]
)
def test_a_country_without_holidays_is_told(country: str, known: bool) -> None:
    assert business_days.known(country) is known


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
    assert metric in said.lengths(Length(Decimal("9098.845"), ""))
    inches = "29 Fuß 10 7/32 Zoll" if language == "de" else "29 ft 10 7/32 in"
    assert inches in said.lengths(Length(Decimal("9098.845"), ""))  # 358.2222 in = 358 7.11/32


def test_a_yen_has_no_cents_and_a_dinar_three_digits() -> None:
    """ISO 4217's minor units: JPY 0, KWD 3."""
    assert "." not in Speech("en", "metric").money("1406", "JPY")
    assert Speech("en", "metric").money("1.5", "KWD").endswith("1.500")


def figures(document: dict[str, Any]) -> list[str]:
    """What the quotation shows of the money: each article's amount, a wire's with what is wasted of it, sums, taxes, assemblies."""
    lines, wires = document["lines"], {line["sku"] for line in document["lines"] if line["group"] == "wire"}
    found = [line["amount"] for line in lines if line["group"] in ("fitting", "labour")]
    found += [str(sum(Decimal(line["amount"]) for line in lines if line["sku"] == wire)) for wire in wires]
    for group in (("wire", "waste"), ("fitting",), ("labour",)):
        found.append(str(sum(Decimal(line["net"]) for line in lines if line["group"] in group)))
    found += [each["amount"] for each in document["charges"]]
    found += [each[name] for each in document["totals"]["tax"] for name in ("taxable", "amount")]
    found += [each["price"]["net"] for each in document["assemblies"] if each["price"]]
    return found + [document["totals"][name] for name in ("lines", "tax_exclusive", "payable")]


def asked_for(template: str) -> set[str]:
    """Every text that the page asks for, in either kind of quotation marks, with the singular of what is counted: by Jinja's own extraction."""
    found = babel_extract(io.BytesIO(template.encode()), ["_", "gettext", "ngettext"], [], {"newstyle_gettext": "true"})
    return {text if isinstance(text, str) else text[0] for _, _, text, _ in found if text}  # None: asked for with what the quote says


# the words of content and prices, as their sources ask for them
WRITTEN = {
    *content.STATUSES.values(), *content.READINESS.values(), *prices.TITLES.values(), *prices.UNTAXED.values(),
    content.FIRM, content.NOTHING_PRICED, content.SHARED, content.BEARINGS, content.DRAWN, content.SHOP_CHECKS,
    *(text for module in (content, prices) for text in re.findall(r'(?:say|several)\(\s*"([^"]+)"', Path(module.__file__).read_text(encoding="utf-8"))),
}  # fmt: skip
# the words of the drawings, as their sources ask for them
DRAWN = {
    literal
    for path in Path(stage.__file__).parent.glob("*.py")
    for literal in re.findall(r'(?:speech\.say|_said|_room)\((?:\s*stage, )?\s*"([^"]+)"', path.read_text(encoding="utf-8"))
} | {"exposed, lower screw"}


def test_texts_in_either_quotation_marks_and_counted_ones_are_found() -> None:
    template = """{{ _("one") }} {{ _('two') }} {{ ngettext("a %(num)s", 'b %(num)s', 3) }} {% set x = _('it"s') %}"""
    assert asked_for(template) == {"one", "two", "a %(num)s", 'it"s'}
    assert len(asked_for(TEMPLATE)) > 60
    assert len(pdf.words_of(PAPER)) > 30
    assert {"finished %(length)s", "measured %(length)s", " (kept)", "exposed, upper screw"} <= DRAWN


def test_german_has_every_text_of_the_page() -> None:
    with (FOLDER / "de.po").open("rb") as file:
        catalogue = read_po(file, locale="de")
    asked = asked_for(TEMPLATE) | DRAWN | WRITTEN | set(pdf.words_of(PAPER))
    missing = sorted(each for each in asked if each not in catalogue or not catalogue[each].string)
    assert missing == []
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
    for amount in figures(document):
        assert " ".join(said.money(amount, document["currency"]).split()) in shown
    for each in document["assemblies"]:
        for name in ("measured_length", "target_length"):
            if each[name]:
                assert said.lengths(length_of(each[name]))[0] in shown, (each["tag"], name)
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
            assert re.search(rf"{re.escape(each['tag'])} ?: [^$]*Before tax {re.escape(said.money(each['price']['net'], 'USD'))}", shown), (
                each["tag"]
            )
    assert f"Sum of the assemblies, before tax {said.money(document['totals']['lines'], 'USD')}" in shown


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
    address = Address(street="1 Quay", city="Port", region="RI", postal_code="00000", country=country)
    assert address_lines(address) == expected
    assert address_lines(None) == []


def test_the_customers_tax_number_address_for_delivery_and_the_shops_own_numbers_stand_on_the_page() -> None:
    document = copy.deepcopy(demo(0))
    address = {"street": "4 Gannet Wharf", "city": "Tern Point", "region": "ME", "postal_code": "00001", "country": "US"}
    document["customer"] |= {"tax_number": "XX000000000", "delivery_address": address, "external_id": "C-1042"}
    document["boat"]["external_id"] = "B-0007"
    said = {
        "en": ("Tax number XX000000000", "Address for delivery 4 Gannet Wharf Tern Point, ME 00001 United States", "Your number with us C-1042", "Your boat’s number with us B-0007"),
        "de": ("Steuernummer XX000000000", "Lieferanschrift 4 Gannet Wharf Tern Point, ME 00001 Vereinigte Staaten", "Ihre Kundennummer C-1042", "Bootsnummer bei uns B-0007"),
    }  # fmt: skip
    for language, expected in said.items():
        shown = text_of(page(document, language))
        assert [each for each in expected if each not in shown] == []


def test_a_quote_of_the_first_release_is_read_as_well() -> None:
    shown = text_of(page({**case("first release"), "checksum": "sha256:0"}, "de"))
    assert "Summe der Gruppen" in shown
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
    assert "Shipping as charged below." in text_of(page(document))
    document["charges"] = [each for each in document["charges"] if each["rule"] != "freight"]
    shown = text_of(page(document))
    assert "Shipping as charged below." not in shown
    assert "Shipping: the shop has no listed price" in shown


def test_a_link_begins_with_the_services_address_and_paper_has_none_without() -> None:
    document = demo(1)
    at = f"/v1/quotes/{document['id']}"
    assert f'<a href="{at}">{at}</a>' in page(document).decode()
    assert f'<a href="https://shop.example/q{at}">' in page(document, base="https://shop.example/q").decode()
    assert [f"https://shop.example/q{at}"] == links_of(on_paper(document, base="https://shop.example/q"))
    assert links_of(on_paper(document)) == []
    assert at in words_of(on_paper(document))


def test_it_can_be_accepted_as_it_stands_or_with_conditions() -> None:
    asked = copy.deepcopy(demo(0))
    question = {
        "code": "furled-stay",
        "severity": "ask",
        "pointer": "/assemblies/0/furled",
        "message": "Does it pass?",
        "remedy": "Measure it.",
    }
    asked["assemblies"][0] |= {"readiness": "confirm", "findings": [question]}
    html = page(asked).decode()
    assert html.count('class="tick"') == 2
    shown = text_of(html.encode())
    assert "as it stands; what is asked under “To confirm before cutting” I have checked and confirm;" in shown
    for line in ("Name in capitals", "Place and day", "Signature"):
        assert line in shown
    settled = {**copy.deepcopy(demo(0)), "findings": []}
    for each in settled["assemblies"]:
        each |= {"readiness": "ready_to_cut", "findings": [one for one in each["findings"] if one["severity"] == "note"]}
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
    assert "on December 4, 2026, if it has both on the day of issue. Public holidays are not taken into account." in text_of(page(demo(0)))
    counted = text_of(page(demo(0), "en", "US"))
    assert "on December 7, 2026, if" in counted
    assert "not taken into account" not in counted


@pytest.mark.parametrize(("place", "language"), some_of([(place, language) for place in BOATS for language in LANGUAGES], 2))
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
        customer=dict.fromkeys(("name", "reference", "email", "telephone", "tax_number", "external_id"), ATTACK),
    )
    document["customer"]["delivery_address"] = dict.fromkeys(("street", "city", "region", "postal_code", "country"), ATTACK)
    document["boat"] |= {"name": ATTACK, "external_id": ATTACK}
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


@pytest.mark.parametrize("text", some_of(NASTY, 5))
def test_a_name_in_any_script_is_shown_and_set_apart(text: str) -> None:
    document: dict[str, Any] = {**demo(1), "boat": {"name": text, "length_overall": None}, "note": text * 40}
    made = page(document).decode()
    html5lib.HTMLParser(strict=True).parse(made)
    assert "<bdi>" in made


def test_a_hundred_and_twenty_assemblies_and_a_boat_with_none_ready() -> None:
    many = fleet(120)
    assert page(many).count(b'class="assembly"') == 120
    none = copy.deepcopy(demo(2))
    for each in none["assemblies"]:
        each["readiness"] = "hold"
    none["left_out"] = [each["tag"] for each in none["assemblies"]]
    assert b"<img" not in page(none)


on_paper = made.of(paper)


def words_of(made: bytes) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(made)).pages).replace("\u200b", "").split())


def links_of(made: bytes) -> list[str]:
    found = [each.get_object()["/A"] for page in PdfReader(io.BytesIO(made)).pages for each in page.get("/Annots", [])]
    return [each["/URI"] for each in found if "/URI" in each]


@pytest.mark.parametrize(("place", "language"), some_of([(place, language) for place in BOATS for language in LANGUAGES], 2))
def test_the_pdf_says_what_the_document_says_and_numbers_its_pages(place: int, language: str) -> None:
    document = demo(place, note="帆走学校 طاقم 7*7")
    whole = on_paper(document, language)
    assert on_paper(document, language) == whole
    pages = [" ".join(each.extract_text().split()) for each in PdfReader(io.BytesIO(whole)).pages]
    shown, said = " ".join(pages), Speech(language, document["display_units"])
    for amount in figures(document):
        assert " ".join(said.money(amount, "USD").split()) in shown, amount
    for each in document["assemblies"]:
        assert each["target_length"] is None or said.lengths(length_of(each["target_length"]))[0] in shown
    assert all(f"{number} / {len(pages)}" in each for number, each in enumerate(pages, 1))
    assert ("帆走学校" in shown, document["checksum"] in shown.replace(" ", "")) == (True, True)


def test_twelve_assemblies_take_four_pages_of_which_the_first_says_what_to_decide_by() -> None:
    document = demo(0)
    assert len(document["assemblies"]) == 12
    first, *others = (" ".join(each.extract_text().split()) for each in PdfReader(io.BytesIO(on_paper(document))).pages)
    assert len(others) <= 3
    said = Speech("en", "imperial")
    for words in (
        said.money(document["totals"]["payable"], "USD"), said.day(document["valid_until"]), document["seller"]["payment_terms"],
        "13 wires, with their fittings and the work at the bench", "To confirm before cutting", "I accept quotation",
    ):  # fmt: skip
        assert words in first, words


def test_metres_are_feet_for_a_boat_measured_in_inches_and_what_is_charged_stands_beside() -> None:
    """0.3048 m are a foot (International yard and pound agreement, 1959): 38.722 m are 127.04 ft."""
    shown = text_of(page(demo(0)))
    wires = [line for line in demo(0)["lines"] if line["sku"] == "WIRE-1X19-316-3-16IN"]
    metres = sum(Decimal(line["quantity"]) for line in wires)
    assert f"{metres / Decimal('0.3048'):.1f} ft ({metres} m)" in shown
    assert " m)" not in text_of(page(demo(1)))


def test_no_row_is_of_cents_and_what_is_wasted_stands_with_its_wire() -> None:
    lines = demo(0)["lines"]
    assert min(Decimal(line["net"]) for line in lines) < Decimal("0.05")  # a cut's allowance, in the data
    rows = re.findall(r'data-name="Amount">\$([\d,.]+)<', page(demo(0)).decode())
    assert min(Decimal(each.replace(",", "")) for each in rows) > Decimal("0.50")


def test_a_tax_of_nothing_says_why_and_of_what() -> None:
    """UNCL5305: Z is zero-rated; the demo shop's work is."""
    document = demo(0)
    (untaxed,) = (each for each in document["totals"]["tax"] if each["rate"] == "0")
    amount = Speech("en", "imperial").money(untaxed["taxable"], "USD")
    assert untaxed["category"] == "Z"
    assert f"No tax on {amount}, zero-rated (Work)" in text_of(page(document))


def test_fittings_stand_by_assembly_where_the_shop_wants_them_so() -> None:
    document = demo(0)
    whole, by_assembly = (page({**document, "fittings_priced": way}).decode() for way in ("together", "by_assembly"))
    assert "Clevis pin 3/8 in, grip 7/8 in</" in whole.partition("Work</caption>")[0]
    rows = by_assembly.partition(">Fittings</caption>")[2].partition("</table>")[0]
    amounts = [Decimal(each) for each in re.findall(r'data-name="Amount">\$([\d.]+)<', rows)]
    assert len(amounts) == 12
    assert sum(amounts) == sum(Decimal(line["net"]) for line in document["lines"] if line["group"] == "fitting")


def test_the_address_to_answer_at_is_a_link_beside_its_code() -> None:
    address = "https://shop.example/v1/quotes/x?token=a.b.c"
    whole = on_paper(demo(1), online=address)
    assert address in links_of(whole)
    assert links_of(on_paper(demo(1))) == []

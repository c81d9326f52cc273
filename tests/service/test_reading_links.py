"""The link that stands on a quote's paper: it reads and asks, and decides with the e-mail address that the quote was asked for with."""

from __future__ import annotations

import io
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from pypdf import PdfReader
from sqlalchemy import select

from service.__main__ import main
from service.auth.link_tokens import BadToken, signed, verify
from service.engine.engine import Engine, open_engine
from service.quotes.links import reading_link
from service.settings import Settings
from service.storage import Keys, Quotes
from service.storage.tables import metadata
from tests.documents.test_quotation import links_of
from tests.service.conftest import made_app
from tests.service.customer_page import XHTML, Customer
from tests.service.steps import settled
from tests.service.test_access import bare
from tests.service.test_questions import at

BASE, MAIL, NAME = "https://quotes.shop.example", "Rig@Tern-Point.example", "Asta Lindqvist"
OTHER = "somebody@else.example"


class Shop:
    """A shop with an address of its own, on either database, and a quote that asks nothing."""

    def __init__(self, engine: Engine, store: Quotes, demo: dict[str, Any], **settings: Any) -> None:
        if not Keys(store).secrets():
            Keys(store).make_secret()  # as at the start
        self.zone, self.store, self.app = engine.zone, store, made_app(engine, store, base_url=BASE, **settings)
        self.client, self.alone, self._demo = self.app.test_client(), bare(self.app), demo

    def made(self, **customer: str) -> Any:
        asked = {**self._demo, "assemblies": self._demo["assemblies"][:1], "customer": {"name": NAME, **customer}}
        return settled(self.client, self.client.post("/v1/quotes", json=asked).json)

    def link(self, quote: Any) -> str | None:
        stored = self.store.get(quote["id"])
        assert stored is not None
        with self.app.test_request_context():
            return reading_link(stored)

    def token(self, quote: Any) -> str:
        link = self.link(quote)
        assert link is not None
        return link.partition("&token=")[2]

    def tag(self, quote: Any) -> dict[str, str]:
        return {"If-Match": self.client.get(at(quote, "")).headers["ETag"]}

    def accept(self, quote: Any, token: str, **customer: str) -> Any:
        body = {"customer": {"name": NAME, **customer}}
        return self.alone.post(f"{at(quote, '/acceptance')}?token={token}", json=body, headers=self.tag(quote))

    def at_the_page(self, quote: Any, language: str = "en") -> Customer:
        link = self.link(quote)
        assert link is not None
        return Customer(self.app, f"{at(quote, '')}?{link.partition('?')[2].replace('format=html&', '')}", language)


@pytest.fixture
def shop(engine: Engine, store: Quotes, demo: dict[str, Any]) -> Shop:
    return Shop(engine, store, demo)


def codes(answer: Any) -> list[tuple[str, str]]:
    return [(each["pointer"], each["code"]) for each in answer.json["errors"]]


def test_a_token_for_reading_cannot_be_made_one_for_deciding_nor_the_reverse() -> None:
    secret = b"s" * 32
    reads, decides = (signed("0" * 12, secret, "q", 2_000_000_000, generation=3, reads=each) for each in (True, False))
    assert reads == signed("0" * 12, secret, "q", 2_000_000_000, generation=3, reads=True)
    assert verify(reads, secret, "q", 0) == (3, True)
    assert verify(decides, secret, "q", 0) == (3, False)
    head, mac = decides.rsplit(".", 1)
    for forged in (reads.replace(".r.", "."), f"{head}.r.{mac}", reads.replace(".3.", "."), reads.replace(".r.", ".r.r.")):
        with pytest.raises(BadToken):
            verify(forged, secret, "q", 0)


def test_the_link_is_the_same_for_the_same_state_ends_as_a_link_does_at_the_latest_and_stores_nothing(shop: Shop) -> None:
    """The demo shop's quotes hold 30 days; a year after the end of the last day is the latest that an accepted quote is read."""
    made = shop.made(email=MAIL)
    before = _rows(shop.store)
    link = shop.link(made)
    assert link is not None
    assert link == shop.link(made)
    assert _rows(shop.store) == before
    assert link.startswith(f"{BASE}/v1/quotes/{made['id']}?format=html&token=")
    expires = datetime.fromtimestamp(int(shop.token(made).split(".")[1]), UTC)
    last = datetime.fromisoformat(made["valid_until"]).replace(tzinfo=shop.zone)
    assert expires == last + timedelta(days=1) + timedelta(days=365)
    shop.accept(made, shop.token(made), email=MAIL)
    assert shop.link(made) == link  # accepted, it is read by the same


def _rows(store: Quotes) -> list[Any]:
    with store.reading() as connection:
        return [tuple(row) for table in metadata.sorted_tables for row in connection.execute(select(table))]


def test_there_is_no_link_without_an_address_of_the_shop_or_where_none_would_open(
    engine: Engine, quotes: Quotes, demo: dict[str, Any]
) -> None:
    shop = Shop(engine, quotes, demo)
    made = shop.made(email=MAIL)
    assert shop.link(made) is not None
    shop.app = made_app(engine, quotes)
    assert shop.link(made) is None
    late = datetime.fromisoformat(made["valid_until"]).date() + timedelta(days=1)
    shop.app = made_app(open_engine(Settings(today=late)), quotes, base_url=BASE, today=late)
    assert shop.link(made) is None


def test_there_is_no_link_while_there_is_nothing_to_sign_it_with(engine: Engine, quotes: Quotes, demo: dict[str, Any]) -> None:
    app = made_app(engine, quotes, base_url=BASE)
    made = app.test_client().post("/v1/quotes", json={**demo, "assemblies": demo["assemblies"][:1]}).json
    stored = quotes.get(made["id"])
    assert stored is not None
    with app.test_request_context():
        assert reading_link(stored) is None
    assert Keys(quotes).secrets() == []


def test_it_reads_the_quote_its_drawings_and_questions_and_asks_without_the_address_in_any_of_it(shop: Shop) -> None:
    made = shop.made(email=MAIL)
    query = f"token={shop.token(made)}"
    tag = made["assemblies"][0]["tag"]
    for path in ("?format=html&", "?format=json&", "?view=summary&", "/questions?", "/rig-sheet?", f"/assemblies/{tag}/drawing?"):
        answer = shop.alone.get(f"{at(made, path)}{query}")
        assert answer.status_code == 200, path
        assert MAIL.lower() not in answer.text.lower(), path
    read = shop.alone.get(f"{at(made, '')}?{query}").json
    assert read == {**shop.client.get(at(made, "")).json, "customer": {**made["customer"], "email": None}}
    assert MAIL in shop.client.get(at(made, "?format=html")).text  # it is there for whoever may see it
    for form in ("csv", "xlsx", "ubl"):
        assert shop.alone.get(f"{at(made, '')}?format={form}&{query}").status_code == 406
    assert shop.alone.post(f"{at(made, '/questions')}?{query}", json={"words": "When?"}).status_code == 201
    for path in ("/withdrawal", "/links", "/links/end", "/revisions"):
        assert shop.alone.post(f"{at(made, path)}?{query}", json={}).status_code == 403, path
    other = shop.made(email=MAIL)
    assert shop.alone.get(f"{at(other, '')}?{query}").status_code == 401


def test_no_pdf_has_the_address_and_the_customers_is_another_state(shop: Shop) -> None:
    made = shop.made(email=MAIL)
    read = f"{at(made, '')}?format=pdf&token={shop.token(made)}"
    pdfs = [shop.client.get(at(made, "?format=pdf")), shop.alone.get(read), shop.alone.get(f"{read}&attached=ubl")]
    assert len({each.headers["ETag"] for each in pdfs}) == 3
    said = [_words(each.data) for each in pdfs]
    assert [(made["number"] in each, MAIL in each) for each in said] == [(True, False)] * 3
    ((ubl,),) = PdfReader(io.BytesIO(pdfs[2].data)).attachments.values()
    assert MAIL.encode() not in ubl
    assert NAME.encode() in ubl
    assert shop.alone.get(read).data == pdfs[1].data


def _words(pdf: bytes) -> str:
    return " ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)


def test_it_accepts_with_the_address_and_not_without(shop: Shop) -> None:
    made = shop.made(email=MAIL)
    token = shop.token(made)
    assert (shop.accept(made, token).status_code, codes(shop.accept(made, token))) == (422, [("#/customer/email", "required")])
    wrong = shop.accept(made, token, email=OTHER)
    assert (wrong.status_code, codes(wrong)) == (422, [("#/customer/email", "other_address")])
    assert MAIL.lower() not in wrong.text.lower()
    assert shop.client.get(at(made, "")).json["status"] == "issued"
    done = shop.accept(made, token, email=MAIL.upper())
    assert (done.status_code, done.json["status"], done.json["accepted"]["by"]) == (200, "accepted", NAME)
    assert shop.alone.get(f"{at(made, '')}?token={token}").json["status"] == "accepted"


def test_it_declines_with_the_address_and_not_without(shop: Shop) -> None:
    made = shop.made(email=MAIL)
    to = f"{at(made, '/decline')}?token={shop.token(made)}"
    assert codes(shop.alone.post(to, json={})) == [("#/customer/email", "required")]
    assert codes(shop.alone.post(to, json={"customer": {"email": OTHER}})) == [("#/customer/email", "other_address")]
    done = shop.alone.post(to, json={"customer": {"email": MAIL}, "reason": "Not this season."})
    assert (done.status_code, done.json["status"]) == (200, "declined")


def test_a_quote_without_an_address_is_not_decided_by_it(shop: Shop) -> None:
    made = shop.made()
    token = shop.token(made)
    assert codes(shop.accept(made, token, email=MAIL)) == [("#", "no_address")]
    assert shop.alone.post(f"{at(made, '/decline')}?token={token}", json={}).status_code == 409
    customer = shop.at_the_page(made)
    assert set(customer.forms()) == {"ask"}
    assert "ask the shop for a link of your own" in customer.text
    assert "bitten Sie die Werkstatt um einen eigenen Link" in shop.at_the_page(made, "de").text


def test_addresses_are_tried_five_times_an_hour_for_a_quote_and_then_not_even_the_right_one(shop: Shop) -> None:
    made, other = shop.made(email=MAIL), shop.made(email=MAIL)
    token = shop.token(made)
    tried = [shop.accept(made, token, email=f"{each}@else.example") for each in range(6)]
    assert [each.status_code for each in tried] == [422] * 5 + [429]
    right = shop.accept(made, token, email=MAIL)
    assert (right.status_code, codes(right)) == (429, [("#/customer/email", "too_many_addresses")])
    assert 0 < int(right.headers["Retry-After"]) <= 720  # one of five an hour comes back in 12 min
    assert shop.alone.post(f"{at(made, '/decline')}?token={token}", json={"customer": {"email": MAIL}}).status_code == 429
    assert shop.alone.get(f"{at(made, '')}?token={token}").status_code == 200
    assert shop.accept(other, shop.token(other), email=MAIL).status_code == 200
    own = shop.client.post(at(made, "/links"), json={}).json["href"].partition("token=")[2]
    assert shop.accept(made, own).status_code == 200  # the customer's own link asks for no address


def test_it_ends_with_the_links_to_the_quote_and_with_what_they_are_signed_with(shop: Shop) -> None:
    made = shop.made(email=MAIL)
    before = shop.token(made)
    assert shop.client.post(at(made, "/links/end"), json={}).status_code == 200
    assert shop.alone.get(f"{at(made, '')}?token={before}").status_code == 401
    fresh = shop.token(made)
    assert shop.alone.get(f"{at(made, '')}?token={fresh}").status_code == 200
    Keys(shop.store).make_secret(withdraw=True)
    shop.app.extensions["keyring"]._ring = None
    assert shop.alone.get(f"{at(made, '')}?token={fresh}").status_code == 401
    assert shop.alone.get(f"{at(made, '')}?token={shop.token(made)}").status_code == 200


def test_an_erased_quote_is_not_decided_by_it(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    made = shop.made(email=MAIL)
    token, customer = shop.token(made), shop.at_the_page(made)
    monkeypatch.setenv("SERVICE_DATABASE_URL", shop.store._url)
    assert main(["customers", "erase", MAIL, "--yes"]) == 0
    assert codes(shop.accept(made, token, email=MAIL)) == [("#", "no_address")]
    assert customer.press("accept", name=NAME, email=MAIL).status_code == 409
    assert "ask the shop for a link of your own" in customer.text


@pytest.mark.parametrize(
    ("language", "label", "refusal"),
    [
        ("en", "The e-mail address that the quotation was asked for with", "This is not the e-mail address of the quotation"),
        ("de", "Die E-Mail-Adresse, mit der das Angebot angefragt wurde", "Das ist nicht die E-Mail-Adresse des Angebots"),
    ],
)
def test_its_page_asks_for_the_address_keeps_what_was_written_and_accepts(shop: Shop, language: str, label: str, refusal: str) -> None:
    made = shop.made(email=MAIL)
    customer = shop.at_the_page(made, language)
    assert (customer.reply.status_code, MAIL in customer.reply.text) == (200, False)
    assert {kind: "email" in customer.fields(form) for kind, form in customer.forms().items()} == {
        "accept": True, "decline": True, "ask": False,
    }  # fmt: skip
    assert [each.text for each in customer.page.iter(f"{XHTML}label")].count(label) == 2
    assert customer.press("accept", name=NAME, email=OTHER).status_code == 422
    assert refusal in customer.text
    assert {name: customer.fields(customer.forms()["accept"])[name] for name in ("name", "email")} == {"name": NAME, "email": OTHER}
    assert MAIL.lower() not in customer.reply.text.lower()
    assert customer.press("accept", name=NAME).status_code == 422  # the field sends what stands in it; nothing changed
    assert customer.press("decline", email="").status_code == 422
    assert customer.press("accept", name=NAME, email=f" {MAIL.lower()} ").status_code == 200
    assert shop.client.get(at(made, "")).json["status"] == "accepted"


def test_its_page_declines_and_asks(shop: Shop) -> None:
    made = shop.made(email=MAIL)
    customer = shop.at_the_page(made)
    assert customer.press("ask", words="Is it lacquered?").status_code == 200
    assert customer.press("decline", email=MAIL, reason="Sold her.").status_code == 200
    assert shop.client.get(at(made, "")).json["status"] == "declined"


def test_the_page_of_the_customers_own_link_asks_for_no_address(shop: Shop) -> None:
    made = shop.made(email=MAIL)
    customer = Customer(shop.app, shop.client.post(at(made, "/links"), json={}).json["href"])
    assert [form for form in customer.forms().values() if "email" in customer.fields(form)] == []
    assert MAIL in customer.text


def test_who_tried_too_many_addresses_is_told_in_words_how_long_to_wait(shop: Shop) -> None:
    made = shop.made(email=MAIL)
    customer = shop.at_the_page(made)
    for each in range(5):
        assert customer.press("accept", name=NAME, email=f"{each}@else.example").status_code == 422
    assert customer.press("accept", name=NAME, email=MAIL).status_code == 429
    assert NAME in customer.text


def test_the_paper_has_the_link_and_not_the_address_that_is_asked_for(shop: Shop) -> None:
    quote = shop.made(email=MAIL)
    answer = shop.client.get(f"{at(quote, '')}?format=pdf")
    (link,) = (each for each in links_of(answer.data) if "token=" in each)
    assert link == shop.link(quote)
    assert MAIL not in "".join(page.extract_text() for page in PdfReader(io.BytesIO(answer.data)).pages)
    page = shop.alone.get(link.removeprefix(BASE))
    assert (page.status_code, MAIL in page.text) == (200, False)
    shop.client.post(at(quote, "/links/end"), json={"by": "Jo Marsh"})
    again = shop.client.get(f"{at(quote, '')}?format=pdf")
    assert again.headers["ETag"] != answer.headers["ETag"]
    assert shop.alone.get(link.removeprefix(BASE)).status_code == 401
    assert shop.alone.get(next(each for each in links_of(again.data) if "token=" in each).removeprefix(BASE)).status_code == 200

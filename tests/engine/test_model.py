"""The quote as a typed model: its document is made once from it and read back into the same, for quotes of every release."""

from __future__ import annotations

import json
from decimal import Decimal
from functools import cache
from pathlib import Path

import pytest

from pricing.document import canonical, headed, read, rendered, written
from pricing.model import Quote
from pricing.quote import make_quote
from service.demo import demo_names, demo_request
from service.encoding.gzip import unpack
from service.schemas import read_request
from tests.engine.shop import DAY, demo
from tests.plain_yaml import read_yaml
from tests.service.first_release import first_rows

CASES = sorted((Path(__file__).parents[1] / "cases").glob("*.yaml"))
D = Decimal


@cache
def quoted(name: str) -> Quote:
    catalogue, prices = demo()
    request = json.loads(demo_request(name)) if name in demo_names() else read_yaml(Path(name).read_text(encoding="utf-8"))["request"]
    return make_quote(read_request(request, prices.at(DAY).price_lists()), catalogue, prices, DAY)


@pytest.mark.parametrize("name", [*demo_names(), *map(str, CASES)], ids=lambda name: Path(name).stem)
def test_a_document_is_read_back_into_the_quote_it_was_made_of(name: str) -> None:
    quote = headed(quoted(name), "A", "Q-2026-000001", 1)
    again = read(json.loads(written(quote)))
    assert again == quote
    assert written(again) == written(quote)


@pytest.mark.parametrize("name", demo_names())
def test_the_checksum_is_of_the_form_that_rfc_8785_describes(name: str) -> None:
    """RFC 8785, 3.2: sorted names, no white space, and of text only the escapes that JSON needs; Python's own encoder writes the same."""
    quote = quoted(name)
    assert canonical(quote) == json.dumps(rendered(quote), sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()


def test_a_quote_never_changes() -> None:
    quote = quoted(demo_names()[0])
    with pytest.raises(AttributeError):
        quote.note = "another"  # type: ignore[misc]
    with pytest.raises(AttributeError):
        quote.assemblies[0].cut_length = None  # type: ignore[misc]


def test_members_are_listed_in_order_from_the_load_to_the_wire() -> None:
    """The members leave no gap: each begins where the one before it ends, less the overlap of their joint."""
    seen = 0
    for name in demo_names():
        for each in quoted(name).assemblies:
            for end in () if each.ends is None else (each.ends.upper, each.ends.lower):
                reached = D(0)
                for member in end.members:
                    assert member.start.mm <= reached, (each.tag, member)
                    reached = member.start.mm + member.length.mm
                    seen += 1
    assert seen > 40


def test_quotes_of_the_first_release_are_read() -> None:
    """Their fields are in the model, digit by digit; fields that they do not have are None or empty, never guessed."""
    for row in first_rows():
        document = json.loads(unpack(row["document"]))
        quote = read(document)
        assert (quote.language, quote.fittings_priced, quote.seller.payment_terms, quote.customer.address) == ("en", "together", None, None)
        assert str(quote.totals.tax_exclusive) == document["totals"]["tax_exclusive"]
        for each, stored in zip(quote.assemblies, document["assemblies"], strict=True):
            assert (each.ends, each.price, each.note) == (None, None, None)
            lengths = (each.measured_length, each.target_length, each.cut_length)
            assert [None if length is None else {"mm": str(length.mm), "text": length.text} for length in lengths] == [
                stored[name] for name in ("measured_length", "target_length", "cut_length")
            ]
            assert [(term.code, str(term.mm)) for term in each.derivation] == [("", term["mm"]) for term in stored["derivation"]]
            assert all(found.values is None for found in each.findings)

"""The bench list read back by the csv module. RFC 4180: lines end with CRLF, a field with a quote, comma or line end is quoted."""

import csv
import io
from decimal import Decimal

import pytest

from service.documents.cutting_plan.bench_list import COLUMNS, bench_list

from . import plans


def rows(document):
    return list(csv.DictReader(io.StringIO(bench_list(document).decode("utf-8-sig"), newline="")))


def one_cut(label="CAP-P", boat="Kittiwake"):
    return plans.plan([plans.wire([plans.use("SP-100#1", 30480, [(label, boat, 9568)])])])


def test_every_number_and_text_of_the_document_comes_back_in_cutting_order():
    document = plans.plan(
        [plans.wire([plans.use("OFF-17", 12500, plans.NAMES[8:9], "offcut"), plans.use("SP-100#1", 152400, plans.NAMES[:8], "opened")])]
    )
    cuts = [row for row in rows(document) if row["entry"] == "cut"]
    expected = [(use, cut) for use in document["wires"][0]["uses"] for cut in use["cuts"]]
    assert len(cuts) == 9
    for row, (use, cut) in zip(cuts, expected, strict=True):
        assert (row["wire"], row["stock_object"], row["source"]) == (plans.WIRE["sku"], use["object"], use["source"])
        assert (row["step"], row["label"], row["boat"], row["quote"]) == (str(cut["step"]), cut["label"], cut["boat"], cut["quote"])
        for name in ("length", "start", "end"):
            assert (row[f"{name}_mm"], row[name]) == (cut[name]["mm"], cut[name]["text"])


def test_the_list_accounts_for_every_millimetre_of_each_object():
    document = plans.plan([plans.wire([plans.use("SP-100#1", 152400, plans.NAMES, allowance="2.5")])])
    *cuts, remnant = rows(document)
    pieces = sum(Decimal(row["length_mm"]) for row in cuts)
    assert pieces + len(cuts) * Decimal("2.5") + Decimal(remnant["length_mm"]) == Decimal(152400)
    assert (remnant["start_mm"], remnant["end_mm"]) == (str(pieces + Decimal("30.0")), "152400.0")


@pytest.mark.parametrize(
    ("stock", "kept", "outcome", "kept_as"),
    [(30480, True, "kept", "SP-100#1/remnant"), (9600, False, "scrap", ""), (9571, True, "nothing left", "")],  # 9568 + 3 = 9571
)
def test_a_row_after_the_last_cut_says_what_becomes_of_the_remnant(stock, kept, outcome, kept_as):
    document = plans.plan([plans.wire([plans.use("SP-100#1", stock, plans.NAMES[:1], kept=kept)])])
    last = rows(document)[-1]
    assert (last["entry"], last["outcome"], last["kept_as"]) == ("remnant", outcome, kept_as)


def test_pieces_without_a_place_stand_at_the_end_with_the_reason():
    first = plans.wire([plans.use("SP-100#1", 30480, plans.NAMES[:1])], unplanned=[plans.unplanned("BACK", None)])
    document = plans.plan([first, plans.wire([plans.use("SP-200#1", 30480, plans.NAMES[1:2])])])
    assert [row["entry"] for row in rows(document)] == ["cut", "remnant", "cut", "remnant", "unplanned"]
    last = rows(document)[-1]
    assert (last["label"], last["boat"], last["quantity"], last["length_mm"], last["stock_object"]) == ("BACK", "", "2", "400000.0", "")
    assert (last["outcome"], last["quote"]) == ("longer_than_any_stock", "Q-2026-000042")
    assert last["remark"] == "It is longer than any stock of this wire: buy a longer spool."


@pytest.mark.parametrize(
    "text", ["=1+2", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", " =1", "\u3000=1", "＝1", "－1", "＠x", "-12.5", "\x00=1"]
)
def test_a_text_that_a_spreadsheet_could_run_has_an_apostrophe_before_it(text):
    (cut, _) = rows(one_cut(text, text))
    assert cut["label"] == cut["boat"] == "'" + text.replace("\x00", "")


@pytest.mark.parametrize("text", ["CAP-P", 'a "b", c', "two\r\nlines", "طاقم", "⛵", "1=1", "'quoted", ""])
def test_every_other_text_comes_back_as_it_was(text):
    (cut, _) = rows(one_cut(text))
    assert cut["label"] == text


def test_numbers_stay_numbers_even_below_zero():
    document = one_cut()
    document["wires"][0]["uses"][0]["cuts"][0]["start"] = {"mm": "-0.1", "text": "-0.1 mm"}
    (cut, _) = rows(document)
    assert (cut["start_mm"], cut["start"]) == ("-0.1", "'-0.1 mm")


def test_the_file_begins_with_a_byte_order_mark_and_lines_end_as_the_standard_says():
    listed = bench_list(one_cut())
    assert listed.startswith(b"\xef\xbb\xbfentry,wire,")
    assert listed.count(b"\r\n") == listed.count(b"\n") == 3


def test_an_empty_plan_is_a_head_line():
    assert bench_list(plans.plan([])).decode("utf-8-sig") == ",".join(COLUMNS) + "\r\n"


def test_half_of_a_surrogate_pair_does_not_stop_the_list():
    (cut, _) = rows(one_cut("CAP\ud800-P"))
    assert cut["label"] == "CAP?-P"


def test_what_may_not_be_cut_or_is_cut_already_stands_at_the_end():
    left = [
        {"quote": "Q-2026-000001", "label": "FORESTAY", "quantity": 1, "reason": "not_ready", "message": "as stored"},
        {"quote": "Q-2026-000001", "label": "CAP-P", "quantity": 2, "reason": "already_cut", "message": "as stored"},
    ]
    said = bench_list({**one_cut(), "left_out": left}, "de").decode("utf-8-sig")
    last = list(csv.DictReader(io.StringIO(said, newline="")))[-2:]
    assert [(each["entry"], each["label"], each["quantity"], each["outcome"], each["length_mm"]) for each in last] == [
        ("left_out", "FORESTAY", "1", "not_ready", ""),
        ("left_out", "CAP-P", "2", "already_cut", ""),
    ]
    assert "nicht bereit" in last[0]["remark"]
    assert "schon geschnitten" in last[1]["remark"]

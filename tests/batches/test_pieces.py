"""Lines and items are split exactly as a JSON parser of the whole would see them."""

from __future__ import annotations

import io
import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.batches import splitting
from service.batches.splitting import items_of, lines_of
from tests.counts import some

values: Any = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(), lambda each: st.lists(each) | st.dictionaries(st.text(), each), max_leaves=8
)


@settings(max_examples=some(100, 8))
@given(st.lists(values), st.booleans(), st.sampled_from([None, 1, 3]), st.integers(1, 9))
def test_the_items_of_a_list_are_those_that_the_standard_library_reads(
    found: list[Any], ascii_only: bool, indent: int | None, block: int
) -> None:
    body = json.dumps(found, ensure_ascii=ascii_only, indent=indent).encode("utf-8", "surrogatepass")
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(splitting, "BLOCK", block)
        cut = list(items_of(io.BytesIO(body), 10_000))
    assert [json.loads(each.text or b"") for each in cut] == found
    assert [each.number for each in cut] == list(range(1, len(found) + 1))


@pytest.mark.parametrize(
    ("body", "whole", "said"),
    [
        (b'[{"a": 1}, {"b": 2', 1, "ends before"),
        (b'[{"a": 1}, "b', 1, "ends before"),
        (b"[1, 2] 3", 2, "after the end"),
        (b"[1}", 1, "brace"),
        (b'{"assemblies": []}', 0, "not a list"),
        (b"", 0, "empty"),
        (b"  \n", 0, "empty"),
    ],
)
def test_where_a_list_stops_being_one_is_said_and_what_came_before_is_kept(body: bytes, whole: int, said: str) -> None:
    *good, last = items_of(io.BytesIO(body), 100)
    assert (len(good), last.text) == (whole, None)
    assert said in (last.broken or "")


def test_a_broken_item_does_not_spoil_the_others() -> None:
    cut = [each.text for each in items_of(io.BytesIO(b'[{"a": 1}, {"a": nonsense}, 7 8, , {"b": "]},"}]'), 100)]
    assert cut == [b'{"a": 1}', b'{"a": nonsense}', b"7 8", b"", b'{"b": "]},"}']


@pytest.mark.parametrize("cut", [lines_of, items_of])
def test_what_is_too_long_is_read_over_without_being_kept(cut: Any) -> None:
    long = b'"' + b"x" * 10_000_000 + b'"'
    body = b"1\n" + long + b"\n3" if cut is lines_of else b"[1," + long + b",3]"
    assert [each.text for each in cut(io.BytesIO(body), 2_000_000)] == [b"1", None, b"3"]


def test_a_line_as_long_as_is_kept_is_kept_and_one_byte_more_is_not() -> None:
    for end in (b"\n", b"\r\n", b""):
        assert [each.text for each in lines_of(io.BytesIO(b"12345" + end), 5)] == [b"12345"]
        assert [each.text for each in lines_of(io.BytesIO(b"123456" + end), 5)] == [None]


def test_blank_lines_are_counted_and_nothing_else() -> None:
    assert [(each.number, each.text) for each in lines_of(io.BytesIO(b"\xef\xbb\xbf1\r\n\r\n  \n2"), 9)] == [(1, b"1"), (4, b"2")]

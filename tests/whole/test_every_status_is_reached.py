"""The check after a full run names the statuses that are missing."""

from tests.whole import listed, missing


def test_what_no_test_reached_is_named() -> None:
    everything = listed()
    one = min(everything)
    assert len(everything) > 100
    assert missing(everything) == []
    assert missing(everything - {one}) == [one]

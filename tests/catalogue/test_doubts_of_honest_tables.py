"""Correct tables of other shops raise hardly any doubt: a shop stops reading doubts if most are false alarms."""

from __future__ import annotations

from pathlib import Path

import pytest

from pricing.catalogue.plausibility import doubts_of
from tests.counts import some_of

from .honest import SHOPS, written

# What is doubted with reason: wire of a size that no terminal of the shop takes, threads that no body of the shop takes.
RIGHTLY = ("no terminal or sleeve takes", "no body of the tables has", "no screw of the tables has")


@pytest.mark.parametrize("name", some_of(list(SHOPS), 1))
def test_an_honest_shop_has_no_doubt_without_reason(name: str, tmp_path: Path) -> None:
    doubts = doubts_of(written(SHOPS[name](), tmp_path / "tables"))
    assert [str(doubt) for doubt in doubts if not any(words in doubt.reason for words in RIGHTLY)] == []

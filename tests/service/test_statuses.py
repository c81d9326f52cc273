"""Every status against every step: what may follow what, written out by hand as a shop would say it (common practice, no source)."""

from __future__ import annotations

from datetime import date

import pytest

from service.life.statuses import NotAllowed, Status, Step, after, status_on

ALLOWED = {
    "issued": {"accept": "accepted", "decline": "declined", "withdraw": "withdrawn", "revise": "superseded", "record_built": "issued"},
    "accepted": {"record_built": "accepted"},
    "declined": {"revise": "superseded"},
    "withdrawn": {},
    "superseded": {},
    "expired": {"revise": "superseded", "record_built": "expired"},
}  # fmt: skip


@pytest.mark.parametrize("status", [each.value for each in Status])
@pytest.mark.parametrize("step", list(Step))
def test_a_step_is_taken_where_the_shop_allows_it_and_refused_with_a_reason_elsewhere(status: str, step: Step) -> None:
    expected = ALLOWED[status].get(step.value)
    if expected is not None:
        assert after(status, step) == expected
        return
    with pytest.raises(NotAllowed) as caught:
        after(status, step)
    assert len(str(caught.value)) > 20


def test_nothing_leads_out_of_an_end_and_nothing_leads_to_expired() -> None:
    assert not ALLOWED["withdrawn"]
    assert not ALLOWED["superseded"]
    assert "expired" not in {to for steps in ALLOWED.values() for step, to in steps.items() if step != "record_built"}


@pytest.mark.parametrize("stored", [each.value for each in Status])
def test_only_an_open_quote_lapses_and_only_after_its_last_day(stored: str) -> None:
    assert status_on(stored, "2026-12-25", date(2026, 12, 25)) == stored
    assert status_on(stored, "2026-12-25", date(2026, 12, 26)) == ("expired" if stored == "issued" else stored)

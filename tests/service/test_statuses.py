"""Every step from every status: which may follow which, written out by hand as a shop would have it (common practice, no source)."""

from __future__ import annotations

from datetime import date

import pytest

from service.lifecycle.statuses import NotAllowed, Status, Step, after, status_on

ALLOWED = {
    "issued": {"accept": "accepted", "decline": "declined", "withdraw": "withdrawn", "revise": "superseded", "settle": "issued", "record_built": "issued"},
    "accepted": {
        "revise": "superseded", "correct": "superseded", "cancel": "cancelled", "settle": "accepted", "cut": "in_work", "record_built": "accepted",
        "finish": "built",
    },
    "in_work": {
        "cancel": "cancelled", "settle": "in_work", "cut": "in_work", "uncut": "in_work", "return": "accepted", "record_built": "in_work", "finish": "built",
    },
    "built": {"cancel": "cancelled", "record_built": "built", "reopen": "in_work", "hand_over": "handed_over"},
    "handed_over": {"record_built": "handed_over"},
    "cancelled": {"uncut": "cancelled"},
    "declined": {"revise": "superseded"},
    "withdrawn": {},
    "superseded": {},
    "expired": {"revise": "superseded", "settle": "expired", "record_built": "expired"},
}  # fmt: skip
ASKED = ("issued", "accepted", "in_work", "built")  # while it is open or the shop works on it; an answer may come whenever
ALLOWED = {status: {**steps, "answer": status, **({"ask": status} if status in ASKED else {})} for status, steps in ALLOWED.items()}


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
    led = {(status.value, after(status, step).value) for status in Status for step in Step if step.value in ALLOWED[status]}
    changes = {(start, to) for start, to in led if start != to}
    assert not {start for start, _ in changes} & {"withdrawn", "superseded", "handed_over", "cancelled"}
    assert "expired" not in {to for _, to in changes}


@pytest.mark.parametrize("stored", [each.value for each in Status])
def test_only_an_open_quote_lapses_and_only_after_its_last_day(stored: str) -> None:
    assert status_on(stored, "2026-12-25", date(2026, 12, 25)) == stored
    assert status_on(stored, "2026-12-25", date(2026, 12, 26)) == ("expired" if stored == "issued" else stored)

"""The rows that figures are read from, beside a count by hand of all quotes and plans, after whatever can become of them, on each database."""

from __future__ import annotations

import copy
from collections import Counter
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from flask.testing import FlaskClient
from sqlalchemy import Connection, text

from service.__main__ import main
from service.engine.engine import Engine
from service.storage import Figures, Quotes
from service.storage.entries import MOST_AMOUNT, Entry
from service.storage.figures import Count
from service.storage.shared_transactions import _PendingWrite, _run
from service.storage.tallies import MILLION, changed
from service.storage.waste import STOCK_USES
from tests.service.conftest import DAY, made_app
from tests.service.steps import accepted

Json = dict[str, Any]
EVER = date(2000, 1, 1), date(2100, 1, 1)


def done(answer: Any) -> Any:
    assert answer.status_code < 300, answer.json
    return answer.json


def step(client: FlaskClient, quote: Json, name: str, **said: Any) -> None:
    at = f"/v1/quotes/{quote['id']}"
    done(client.post(f"{at}/{name}", json=said, headers={"If-Match": client.get(at).headers["ETag"]}))


def by_hand(client: FlaskClient, store: Quotes) -> tuple[Counter[Any], tuple[Any, ...]]:
    """What the API says of every quote, and of every plan that was taken and not put back, counted here."""
    with store.reading() as connection:
        ids = connection.execute(text("SELECT id FROM quotes")).scalars().all()
        taken = connection.execute(text("SELECT plan_id FROM movements WHERE type = 'take' AND reversed = 0")).scalars().all()
    found: Counter[Any] = Counter()
    whole = {each: client.get(f"/v1/quotes/{each}").json for each in ids}
    for quote in whole.values():
        ready = quote.get("current_readiness", {})
        states = Counter(ready.get(each["tag"], each["readiness"]) for each in quote["assemblies"])
        of = quote["issued_on"][:7], quote["status"], quote["currency"]
        found.update({(*of, "quotes"): 1, (*of, "amount"): int(Decimal(quote["totals"]["payable"] or 0) * 1000)})
        found.update({(*of, name): many for name, many in states.items()})
    plans = [client.get(f"/v1/cutting-plans/{each}").json for each in taken]
    went = {name: sum((Decimal(each["totals"][name]["mm"]) for each in plans), Decimal(0)) for name in STOCK_USES}
    cut = {each["id"] for plan in plans for each in plan["quotes"]}
    lines = [line for each in cut for line in whole[each]["lines"] if (line["group"], line["unit"]) == ("waste", "m")]
    return +found, (len(plans), went, len(cut), sum((Decimal(each["quantity"]) for each in lines), Decimal(0)) * 1000)


def kept(store: Quotes) -> tuple[Counter[Any], tuple[Any, ...]]:
    """The same as it is read for the figures."""
    figures, found = Figures(store), Counter[Any]()
    for each in figures.counts(*EVER, DAY):
        for name in ("quotes", "amount", "ready_to_cut", "confirm", "hold"):
            found[each.month, each.status, each.currency, name] += getattr(each, name)
    waste = figures.waste(*EVER)
    assert waste.taken == waste.counted
    went = {name: Decimal(many) / 1000 for name, many in waste.went.items()}
    return +found, (waste.taken, went, waste.quotes, Decimal(waste.priced) / 1000)


def test_figures_are_those_counted_by_hand_whatever_became_of_quotes_and_plans(
    engine: Engine, store: Quotes, demo: Json, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SERVICE_DATABASE_URL", store.url)
    monkeypatch.setenv("SERVICE_TODAY", DAY.isoformat())
    client = made_app(engine, store).test_client()
    asked = {**demo, "assemblies": demo["assemblies"][:2]}
    loose = copy.deepcopy(asked)
    for each in loose["assemblies"]:
        each["measurement"]["support"] = "aboard"  # without its tension, which is asked about
    made = [done(client.post("/v1/quotes", json=asked)) for _ in range(6)]
    made += [done(client.post("/v1/quotes", json={**loose, "customer": {"name": "Asta Lindqvist"}, "boat": {"name": "Kittiwake"}}))]

    def agree(most: str) -> None:
        hand, mine = by_hand(client, store), kept(store)
        assert mine == hand, most
        with store.reading() as connection:
            assert connection.execute(text("SELECT min(quotes) FROM quote_counts")).scalar_one() >= 0

    agree("issued")
    assert client.post("/v1/quotes", json={**asked, "assemblies": []}).status_code == 422
    for quote in made[:3]:
        accepted(client, quote)
    step(client, made[3], "decline", reason="No.")
    step(client, made[4], "withdrawal", reason="No.")
    done(client.post(f"/v1/quotes/{made[5]['id']}/revisions", json={**asked, "delivery": "collect"}))
    agree("answered")
    plans = []
    for of in (made[:2], made[2:3]):
        plans.append(done(client.post("/v1/cutting-plans", json={"quotes": [each["id"] for each in of]})))
        done(client.post(f"/v1/cutting-plans/{plans[-1]['id']}/take", json={}))
    assert client.post(f"/v1/cutting-plans/{plans[0]['id']}/take", json={}).status_code == 409
    agree("cut")
    done(client.post(f"/v1/cutting-plans/{plans[1]['id']}/reversal", json={}))
    step(client, made[2], "cancellation", reason="Sold.")
    agree("put back")
    assert by_hand(client, store)[1][0] == 1
    for arguments in (["customers", "erase", "Asta Lindqvist", "--yes"], ["customers", "retain", "--yes"]):
        monkeypatch.setenv("SERVICE_RETENTION_MONTHS", "24")
        assert main(arguments) == 0
        monkeypatch.setenv("SERVICE_TODAY", "2030-01-01")
        agree(arguments[1])


def test_sums_of_the_greatest_amounts_are_exact(store: Quotes) -> None:
    """Each is nearly all that a column holds; eight of them are more."""
    most = Entry("", "", "accepted", "2026-12-25", MOST_AMOUNT, *[None] * 5, 0, 0, 1, 0, 0, 0, "", "", 0, "EUR")
    for _ in range(8):
        with store.writing() as connection:
            changed(connection, "2026-11-25", None, most)
    assert Figures(store).counts(*EVER, DAY) == [Count("2026-11", "accepted", "EUR", 8, 8 * MOST_AMOUNT, 0, 0, 8)]
    assert MOST_AMOUNT > MILLION


def test_what_is_undone_is_not_counted(store: Quotes) -> None:
    """Of three that are stored together the one in the midst fails; and of a transaction that fails nothing counts."""
    entry = Entry("", "", "issued", "2026-12-25", 5, *[None] * 5, 1, 0, 0, 0, 0, 0, "", "", 0, "EUR")

    def stored(connection: Connection) -> None:
        changed(connection, "2026-11-25", None, entry)

    def failing(connection: Connection) -> None:
        stored(connection)
        raise ZeroDivisionError

    with store.writing() as connection:
        _run(connection, [_PendingWrite(stored), _PendingWrite(failing), _PendingWrite(stored)])
    with pytest.raises(ZeroDivisionError), store.writing() as connection:
        failing(connection)
    assert [each.quotes for each in Figures(store).counts(*EVER, DAY)] == [2]

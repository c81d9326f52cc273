"""Every page of the desk as its readers meet it: clean under axe, nothing to scroll sideways, all to press at least 44 px high on a phone, and
in reach by Tab from top to bottom, with a focus that is seen.
"""

from __future__ import annotations

from itertools import pairwise
from types import SimpleNamespace

import pytest

from service.credentials.people import Role
from service.demo import demo_names, demo_request
from service.encoding import json
from tests.browser.browsing import complaints
from tests.browser.desk_day import PHONE, SCREEN, shop_at_work
from tests.browser.desk_shop import fleet, trial
from tests.service.conftest import KEY, engine  # noqa: F401  # the fixture
from tests.service.steps import accepted

LOW = """[...document.querySelectorAll('a:not(.skip), button:not([tabindex="-1"]), select, summary, input:not([type=hidden]), .tickbox')]
    .filter(each => !['checkbox', 'radio'].includes(each.type))
    .map(each => [each.outerHTML.slice(0, 80), each.getBoundingClientRect().height]).filter(([, high]) => high > 0 && high < 44)"""
WIDER = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
FOCUSED = """() => {
  const each = document.activeElement, box = each.getBoundingClientRect(), style = getComputedStyle(each);
  return each === document.body ? null : {
    what: each.outerHTML.slice(0, 90), top: Math.round(box.top + scrollY), bottom: Math.round(box.bottom + scrollY),
    seen: style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2 && box.width > 0,
  };
}"""
LONG = "Wilhelmina Donaudampfschifffahrtsgesellschaftskapitänstochter von der Schlei III"
MOST = 150


@pytest.fixture(scope="module")
def desk(engine, tmp_path_factory):  # noqa: F811
    with shop_at_work(engine, tmp_path_factory.mktemp("pages")) as at_work:
        client = at_work.app.test_client()
        client.environ_base["HTTP_AUTHORIZATION"] = f"Bearer {KEY}"
        asked, _ = at_work.requested()
        every = [json.read(demo_request(each)) for each in demo_names()]
        large = max(every, key=lambda each: len(each["assemblies"]))
        assert len(large["assemblies"]) >= 12
        named = {**large, "boat": {**large["boat"], "name": LONG}, "customer": {**large["customer"], "name": f"{LONG} KG"}}
        made = client.post("/v1/quotes", json=named).json
        small = {**large, "assemblies": [{**large["assemblies"][0], "quantity": 2}, large["assemblies"][1]]}
        cut = accepted(client, client.post("/v1/quotes", json=small).json)
        plan = client.post("/v1/cutting-plans", json={"quotes": [cut["id"]]}).json["id"]
        at_work.quote, at_work.plan = cut, plan
        at_work.pages = _pages(
            SimpleNamespace(asked=asked, large=made["id"], cut=cut, plan=plan, trial=trial(at_work), fleet=fleet(at_work))
        )
        yield at_work


def _pages(of):
    """By role; what others see the same is looked at once."""
    tag = of.cut["assemblies"][0]["tag"]
    return {
        Role.COUNTER: [
            "", "/find", "/find?q=nobody", f"/quotes/{of.asked}", f"/quotes/{of.large}", f"/quotes/{of.cut['id']}", f"/quotes/{of.cut['id']}/lines", f"/quotes/{of.asked}/revise",
            "/fleets", of.fleet.removeprefix("/desk"), "/tables",
        ],
        Role.BENCH: [
            "/bench", f"/bench/find?code={of.cut['number']}", f"/bench/{of.cut['id']}", f"/bench/{of.cut['id']}/{tag}", f"/bench/built/{of.cut['id']}/{tag}",
            f"/bench/{of.asked}/CAP-P", "/bench/plans", f"/bench/plans/{of.plan}", "/stock", "/stock/count",
        ],
        Role.OWNER: ["", "/tables", of.trial.removeprefix("/desk"), "/terms", "/figures", "/people"],
    }  # fmt: skip


@pytest.mark.parametrize(
    ("viewport", "language"), [(PHONE, "de"), pytest.param(SCREEN, "en", marks=pytest.mark.long)], ids=["phone", "screen"]
)
def test_every_page_is_sound_for_its_readers(browser, desk, viewport, language):
    found = {}
    for role, pages in desk.pages.items():
        page = desk.signed_in(browser, role, viewport, language)
        for address in pages:
            page.goto(f"{desk.origin}/desk{address}")
            wrong = [*complaints(page), *([f"wider by {page.evaluate(WIDER)}"] if page.evaluate(WIDER) else [])]
            wrong += page.evaluate(LOW) if viewport is PHONE else []
            if wrong:
                found[f"{role} {address}"] = wrong
        page.context.close()
    assert found == {}


def test_tab_goes_down_the_page_and_its_place_is_seen(browser, desk):
    page = desk.signed_in(browser, Role.COUNTER, SCREEN)
    addresses = ["", f"/quotes/{desk.pages[Role.COUNTER][3].rpartition('/')[2]}", "/fleets"]
    for address in addresses:
        page.goto(f"{desk.origin}/desk{address}")
        steps = _steps(page)
        assert len(steps) > 8, address
        assert [each["what"] for each in steps if not each["seen"]] == [], address
        main = steps[1:]  # after the way past the bar
        assert [(one["what"], other["what"]) for one, other in pairwise(main) if other["bottom"] < one["top"]] == [], address


def _steps(page):
    """What has the focus after each Tab, until it leaves the page."""
    page.evaluate("document.activeElement?.blur()")
    found = []
    for _ in range(MOST):
        page.keyboard.press("Tab")
        each = page.evaluate(FOCUSED)
        if each is None or (found and each["what"] == found[0]["what"]):
            return found
        found.append(each)
    raise AssertionError("the focus never leaves the page")

"""At the bench a photograph of a label opens its sheet where the browser reads codes."""

from __future__ import annotations

import pytest

from service.credentials.people import Role
from service.demo import demo_names, demo_request
from service.encoding import json
from tests.browser.desk_day import PHONE, shop_at_work
from tests.service.conftest import KEY, engine  # noqa: F401  # the fixture
from tests.service.steps import accepted

# stands in for the detector of the Shape Detection API, which this Chromium has on no Linux
READER = """window.BarcodeDetector = class {
  constructor(asked) { this.formats = asked.formats; }
  async detect(picture) { return this.formats[0] === 'qr_code' && picture.width ? CODES : []; }
};"""
GREY = (
    "89504e470d0a1a0a0000000d49484452000000010000000108000000003a7e9b550000000a49444154789c636800000082008177cd72b60000000049454e44ae426082"
)
DOT = bytes.fromhex(GREY)  # a PNG of one pixel


@pytest.fixture(scope="module")
def desk(engine, tmp_path_factory):  # noqa: F811
    with shop_at_work(engine, tmp_path_factory.mktemp("bench")) as at_work:
        client = at_work.app.test_client()
        client.environ_base["HTTP_AUTHORIZATION"] = f"Bearer {KEY}"
        request = json.read(demo_request(demo_names()[0]))
        request["assemblies"] = request["assemblies"][:2]
        request["assemblies"][0]["quantity"] = 2
        at_work.quote = accepted(client, client.post("/v1/quotes", json=request).json)
        yield at_work


@pytest.mark.parametrize("found", [True, False])
def test_a_photograph_of_a_label_opens_its_sheet(browser, desk, found):
    bench, tag = desk.signed_in(browser, Role.BENCH, PHONE), desk.quote["assemblies"][1]["tag"]
    code = f"{desk.quote['number']}/1/{tag}"
    bench.add_init_script(READER.replace("CODES", f"[{{rawValue: '{code}'}}]" if found else "[]"))
    bench.goto(f"{desk.origin}/desk/bench")
    with bench.expect_file_chooser() as chooser:
        bench.get_by_role("button", name="Photograph a label").tap()
    chooser.value.set_files({"name": "label.png", "mimeType": "image/png", "buffer": DOT})
    if found:
        bench.wait_for_url(f"**/desk/bench/{desk.quote['id']}/{tag}")
        return
    bench.locator("#scan-failed").wait_for()
    assert "No code was found" in bench.locator("#scan-failed").inner_text()


def test_where_the_browser_reads_no_codes_nothing_is_offered(browser, desk):
    bench = desk.signed_in(browser, Role.BENCH, PHONE)
    bench.add_init_script("delete window.BarcodeDetector;")
    bench.goto(f"{desk.origin}/desk/bench")
    assert not bench.locator("#scan").is_visible()
    assert bench.locator("#code").is_visible()

"""What the wire as drawn so far costs: `python tests/benchmarks/draft_drawings.py [rounds]`. Not a test.

First at the service (WSGI, one process): processor time of a drawing as a ratio to a preview of the same wire, in turns, and its bytes. Then in a
browser on loopback: from the press on an answer until the drawing stands, as a ratio to the time until the price of the same press stands.
"""

from __future__ import annotations

import gzip
import json
import statistics
import sys
import tempfile
from functools import partial
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
from service.web_form.module import module, packed  # noqa: E402
from tests.benchmarks.boats import each_boat, taken  # noqa: E402
from tests.browser import boat  # noqa: E402
from tests.browser.browsing import chromium  # noqa: E402
from tests.browser.keyboard import Keyboard  # noqa: E402
from tests.browser.shop_page import served  # noqa: E402

STANDS = """() => new Promise((done) => {
  const root = document.querySelector('wire-quote-form').shadowRoot;
  const begun = performance.now(), found = {};
  const watch = (name, node) => new MutationObserver(() => {
    if (name === 'price' && node.classList.contains('stale')) return;
    found[name] ??= performance.now() - begun;
    if (found.drawing && found.price) done(found);
  }).observe(node, {childList: true, subtree: true, attributes: true, characterData: true});
  watch('drawing', root.querySelector('.sketch'));
  watch('price', root.querySelector('.price'));
  root.querySelector('[data-path="measurement.lower_datum"] input:not(:checked)').click();
})"""


def at_the_service(client: Any, request: dict[str, Any], count: int, rounds: int) -> None:
    """Of the request's first wire, whole and as half of it is written."""
    if count > 1:
        return
    (whole,) = request["assemblies"]
    half = {name: whole[name] for name in ("role", "wire", "upper")}
    bodies = {
        "preview": ("/v1/quotes/preview", request),
        "whole": ("/v1/drawings", {"assembly": whole, "asked": "/measurement"}),
        "half": ("/v1/drawings", {"assembly": half, "asked": "/upper/pin"}),
    }

    def post(path: str, body: dict[str, Any]) -> bytes:
        answer = client.post(path, json=body)
        assert answer.status_code == 200
        said: bytes = answer.data
        return said

    times: dict[str, list[float]] = {name: [] for name in bodies}
    for _ in range(rounds):
        for name, asked in bodies.items():
            times[name].append(taken(partial(post, *asked)))
    print(
        f"at the service, medians of {rounds}; a preview of one wire takes {statistics.median(times['preview']):.1f} ms of processor time"
    )
    for name in ("whole", "half"):
        ratio = statistics.median(one / other for one, other in zip(times[name], times["preview"], strict=True))
        said = post(*bodies[name])
        print(f"  {name:6} {ratio:5.2f} of a preview  {len(said):6} bytes, {len(gzip.compress(said)):5} as gzip")


def in_a_browser(rounds: int) -> None:
    """From the press to the drawing, and to the price, on a page that has one wire."""
    with tempfile.TemporaryDirectory() as folder, served(Path(folder)) as shop, chromium() as browser:
        page = browser.new_page(viewport={"width": 390, "height": 844})
        page.goto(shop.shop.origin)
        page.locator("wire-quote-form h2").wait_for()
        keyboard = Keyboard(page, shop.labels())
        keyboard.fill({})
        keyboard.press_button("Add a wire")
        answers = boat.answers_of(boat.REQUEST["assemblies"][0])
        while page.locator("wire-quote-form h2").inner_text() != "The length":
            keyboard.fill(answers)
        keyboard.fill(answers, go=False)
        page.locator("wire-quote-form .price", has_text="For 1 complete wire").wait_for()
        found = []
        for _ in range(rounds):
            page.wait_for_timeout(700)
            found.append(page.evaluate(STANDS))
        drawing, price = (statistics.median(each[name] for each in found) for name in ("drawing", "price"))
        ratio = statistics.median(each["drawing"] / each["price"] for each in found)
        print(
            f"in a browser on loopback, medians of {rounds}: drawing after {drawing:.0f} ms, {ratio:.2f} of the time to the price, {price:.0f} ms"
        )


if __name__ == "__main__":
    times = int(sys.argv[1]) if len(sys.argv) > 1 else 30
    each_boat(at_the_service, times)
    in_a_browser(times)
    print(json.dumps({"module": len(module()), "gzip": len(packed())}))

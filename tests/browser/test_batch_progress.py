"""A batch followed in a browser, on a real server: `fetch` reads the events with the key, a page of another origin cannot, and it is cancelled from the page.

An EventSource sends no `Authorization` (HTML Living Standard, 9.2), so it cannot be used here; the page below is what a shop's own page would hold.
"""

from __future__ import annotations

import json

import pytest

from tests.batches.under_fire import NDJSON, fleet
from tests.service.test_server import KEY, call, free_port, started, stopped, wait_for

PAGE = """<!doctype html><html lang="en"><title>A fleet</title><progress id="bar" value="0"></progress><p id="said"></p>
<script>
window.seen = [];
async function follow(address, key) {
  const answer = await fetch(address, {headers: {Authorization: `Bearer ${key}`}});
  if (!answer.ok) { window.ended = String(answer.status); return; }
  let text = "";
  for (const reader = answer.body.pipeThrough(new TextDecoderStream()).getReader();;) {
    const {value, done} = await reader.read();
    if (done) { window.ended = "stream"; return; }
    const parts = (text + value).split("\\n\\n");
    text = parts.pop();
    for (const part of parts) {
      const fields = Object.fromEntries(part.split("\\n").map(line => [line.split(":")[0], line.slice(line.indexOf(":") + 2)]));
      if (!fields.data) continue;
      const batch = JSON.parse(fields.data);
      window.seen.push([fields.event, batch.succeeded, batch.status]);
      document.getElementById("bar").max = batch.total;
      document.getElementById("bar").value = batch.succeeded;
      document.getElementById("said").textContent = `${batch.succeeded} of ${batch.total} boats`;
    }
  }
}
</script>"""


@pytest.fixture(scope="module")
def port(tmp_path_factory):
    folder, port = tmp_path_factory.mktemp("fleet"), free_port()
    with (folder / "server.log").open("w", encoding="utf-8") as log:
        server = started(folder, port, log)
    wait_for(server, port)
    yield port
    stopped(server)


@pytest.fixture
def own_page(browser, port):
    """A page of the service's own origin."""
    context = browser.new_context()
    page = context.new_page()
    page.route("**/fleet.html", lambda route: route.fulfill(status=200, body=PAGE, headers={"Content-Type": "text/html"}))
    page.goto(f"http://127.0.0.1:{port}/fleet.html")
    yield page
    context.close()


def made(port, boats):
    return json.loads(call(port, "POST", "/v1/batches", fleet(boats), NDJSON)[2])


def test_a_page_of_the_same_origin_follows_a_batch_to_its_end(own_page, port):
    batch = made(port, 120)
    own_page.evaluate("([address, key]) => { follow(address, key) }", [batch["events"], KEY])
    own_page.wait_for_function("0 < document.getElementById('bar').value", timeout=180_000, polling=100)
    assert own_page.evaluate("window.ended === undefined")  # it comes as it is made, not all at the end
    own_page.wait_for_function("window.ended", timeout=180_000, polling=100)
    seen = own_page.evaluate("window.seen")
    assert own_page.evaluate("window.ended") == "stream"
    assert seen[-1] == ["completed", 120, "completed"]
    assert {each[0] for each in seen[:-1]} == {"progress"}
    assert [each[1] for each in seen] == sorted(each[1] for each in seen)
    assert len(seen) >= 3
    assert own_page.text_content("#said") == "120 of 120 boats"


def test_it_is_cancelled_from_the_page_and_the_stream_says_so(own_page, port):
    batch = made(port, 2000)
    own_page.evaluate("([address, key]) => { follow(address, key) }", [batch["events"], KEY])
    own_page.wait_for_function("window.seen.some(each => each[1] > 0)", timeout=180_000, polling=100)
    status = own_page.evaluate(
        "([address, key]) => fetch(address, {method: 'DELETE', headers: {Authorization: `Bearer ${key}`}}).then(each => each.status)",
        [batch["href"], KEY],
    )
    own_page.wait_for_function("window.ended", timeout=180_000, polling=100)
    name, done, state = own_page.evaluate("window.seen.at(-1)")
    assert (status, name, state) == (200, "cancelled", "cancelled")
    assert 0 < done < 2000


def test_without_the_key_nothing_is_told_and_an_event_source_has_no_way_to_send_it(own_page, port):
    batch = made(port, 1)
    own_page.evaluate("address => { follow(address, 'wq_none') }", batch["events"])
    own_page.wait_for_function("window.ended", timeout=180_000, polling=100)
    assert own_page.evaluate("window.ended") == "401"
    closed = own_page.evaluate(
        "address => new Promise(done => { const source = new EventSource(address); source.onerror = () => done(source.readyState); })",
        batch["events"],
    )
    assert closed == 2  # CLOSED: it does not try again


def test_a_page_of_another_origin_cannot_read_it_even_with_the_key(browser, port):
    batch, context = made(port, 1), browser.new_context()
    page = context.new_page()
    page.route("http://page.test/**", lambda route: route.fulfill(status=200, body=PAGE, headers={"Content-Type": "text/html"}))
    page.goto("http://page.test/")
    address = f"http://127.0.0.1:{port}{batch['events']}"
    failed = page.evaluate("([address, key]) => follow(address, key).then(() => 'read', error => error.name)", [address, KEY])
    assert failed == "TypeError"  # Fetch standard: the reply is a network error for the page
    assert page.evaluate("window.seen") == []
    context.close()

"""How the element classifies the service's responses, however they end: service.js in Node, with invented responses."""

import json
import os
import shutil
import subprocess
from typing import Any

import pytest

from service.web_form.module import FOLDER

CALL = """
const ended = JSON.parse(process.argv[1]);
globalThis.fetch = async () => {
  if (ended.head) throw Object.assign(new Error(), { name: ended.head });
  return { ok: ended.status < 400, status: ended.status, headers: new Map(), json: async () => {
    if (ended.body) throw Object.assign(new Error(), { name: ended.body });
    return { made: true };
  } };
};
new Service("https://shop.example", "key").call("/v1/form").then(({ kind, body }) => console.log(JSON.stringify([kind, body])));
"""

QUOTES = """
const sent = [];
globalThis.fetch = async (url, { headers }) => {
  sent.push([url, headers.Prefer ?? null, headers["Idempotency-Key"] ?? null]);
  return { ok: true, status: 200, headers: new Map(), json: async () => ({}) };
};
const service = new Service("https://shop.example", "key");
Promise.all([service.preview({}), service.quote("{}", "k-1"), service.form("en")]).then(() => console.log(JSON.stringify(sent)));
"""


@pytest.mark.parametrize(
    ("ended", "expected"),
    [
        ({"status": 200}, ["ok", {"made": True}]),
        ({"status": 422}, ["refused", {"made": True}]),
        ({"status": 429}, ["limited", {"made": True}]),
        ({"status": 503}, ["failed", {"made": True}]),
        ({"head": "AbortError"}, ["aborted", None]),
        ({"head": "TypeError"}, ["offline", None]),
        ({"status": 200, "body": "AbortError"}, ["aborted", None]),  # given up between the head and the end of the body
        ({"status": 200, "body": "TypeError"}, ["offline", None]),  # the connection broke there
        ({"status": 200, "body": "SyntaxError"}, ["failed", None]),  # somebody else's page, as of a hotel's network
        ({"status": 502, "body": "SyntaxError"}, ["failed", None]),
        ({"status": 404, "body": "SyntaxError"}, ["refused", None]),
    ],
    ids=str,
)
def test_an_answer_is_taken_for_what_it_is(ended: dict[str, object], expected: list[object]) -> None:
    assert run_in_node(CALL, json.dumps(ended)) == expected


def test_of_a_quote_the_summary_is_asked_for() -> None:
    """RFC 7240, 4.2."""
    assert run_in_node(QUOTES) == [
        ["https://shop.example/v1/quotes/preview", "return=minimal", None],
        ["https://shop.example/v1/quotes", "return=minimal", '"k-1"'],
        ["https://shop.example/v1/form?lang=en", None, None],
    ]


def run_in_node(call: str, *given: str) -> Any:
    """What a script prints that begins with the element's service.js."""
    node = shutil.which("node")
    if node is None:
        if os.environ.get("TEST_SERVICES_REQUIRED"):
            pytest.fail("no `node` here: `apt-get install nodejs` brings it")
        # on a newcomer's machine without one; .ci/run installs it, and then it is a failure
        pytest.skip("the element's calls are run in Node, and there is no `node` here")
    script = (FOLDER / "service.js").read_text(encoding="utf-8") + call
    run = subprocess.run([node, "--eval", script, *given], capture_output=True, encoding="utf-8", check=False)
    assert run.returncode == 0, run.stderr
    return json.loads(run.stdout)

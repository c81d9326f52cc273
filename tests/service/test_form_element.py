"""The form's element as it is served: the bytes that a page's `integrity` names, kept where they are asked for by their version."""

from __future__ import annotations

import base64
import gzip
import hashlib
import re

from service.form.module import lines_of_a_page


def test_the_lines_of_a_page_name_the_very_bytes_that_are_served(client):
    """Subresource Integrity (W3C): base64 of the SHA-384 of the body."""
    lines = lines_of_a_page("", "wq_pub_x")
    address, integrity = re.search(r'src="([^"]+)" integrity="sha384-([^"]+)"', lines).groups()
    reply = client.get(address)
    assert reply.status_code == 200
    assert base64.b64encode(hashlib.sha384(reply.data).digest()).decode() == integrity
    assert "immutable" in reply.headers["Cache-Control"]
    assert reply.headers["Access-Control-Allow-Origin"] == "*"
    packed = client.get(address, headers={"Accept-Encoding": "gzip"})
    assert gzip.decompress(packed.data) == reply.data


def test_without_its_version_it_is_asked_about_again(client):
    reply = client.get("/form/element.js")
    assert "no-cache" in reply.headers["Cache-Control"]
    again = client.get("/form/element.js", headers={"If-None-Match": reply.headers["ETag"]})
    assert (again.status_code, again.data) == (304, b"")
    assert client.get("/form/element.js", headers={"Accept": "text/html"}).status_code == 406

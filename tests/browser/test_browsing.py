"""Tests of the browser helpers: axe finds the same on a page opened without scripts, and does not wait for what cannot arrive."""

from tests.browser.browsing import complaints

PAGE = """<!DOCTYPE html><html lang="en"><head><title>A page</title></head>
<body><main><h1>A page</h1>%s<noscript><img src="data:image/gif;base64,R0lGODlhAQABAAAAACw="></noscript></main></body></html>"""
PICTURE = '<img src="data:image/gif;base64,R0lGODlhAQABAAAAACw=">'


def test_axe_looks_at_pages_with_and_without_scripts_alike(show):
    found = {scripts: complaints(show((PAGE % PICTURE).encode(), scripts=scripts)) for scripts in (True, False)}
    assert [each.partition(":")[0] for each in found[True]] == ["image-alt"]
    assert [each.partition(":")[0] for each in found[False]] == [
        "image-alt",
        "image-alt",
    ]  # what stands there without scripts counts as well


def test_a_page_opened_without_scripts_runs_none_while_axe_looks(show):
    page = show((PAGE % "<p id=text>before</p><script>document.getElementById('text').remove()</script>").encode())
    assert [each.partition(":")[0] for each in complaints(page)] == ["image-alt"]
    assert page.inner_text("#text") == "before"

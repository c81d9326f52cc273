"""The bench: the list of what is to be cut, what a label leads to, and the sheet of one assembly."""

from __future__ import annotations

from typing import Any
from urllib.parse import quote as encoded

import pytest
from flask import Flask

from service.credentials.people import Role
from service.desk import bench_find, calls
from service.documents.labels.content import labels
from service.documents.speech import speech_in
from service.formats.quote import quote_for_papers
from service.storage import Quotes
from tests.desk.colleague import Colleague
from tests.service.steps import accepted

Json = dict[str, Any]
HOSTILE = '<script>alert("1")</script>'


@pytest.fixture
def two(desk: Flask, demo: Json) -> Json:
    """An accepted quote of two assemblies: one piece of the first, two of the second."""
    demo["assemblies"] = demo["assemblies"][:2]
    demo["assemblies"][1]["quantity"] = 2
    return accepted(desk.test_client(), desk.test_client().post("/v1/quotes", json=demo).json)


@pytest.fixture
def held(desk: Flask, demo: Json) -> Json:
    """A quote whose second assembly is on hold: its turnbuckle's setting was not measured."""
    demo["assemblies"] = demo["assemblies"][:2]
    demo["assemblies"][1]["turnbuckle"].pop("setting")
    found: Json = desk.test_client().post("/v1/quotes", json=demo).json
    return found


def cut_all(desk: Flask, quote: Json) -> None:
    client = desk.test_client()
    plan = client.post("/v1/cutting-plans", json={"quotes": [quote["id"]]}).json
    assert client.post(f"/v1/cutting-plans/{plan['id']}/take", json={"by": "Nora"}).status_code == 200


@pytest.mark.parametrize("role", list(Role))
def test_the_list_has_what_is_ready_and_not_cut_by_quote_and_tag(desk: Flask, two: Json, role: Role) -> None:
    someone = Colleague(desk, role)
    someone.go("/desk/bench")
    assert two["boat"]["name"] in someone.text
    for each in two["assemblies"]:
        assert f"{each['tag']} " in someone.text
        assert each["cut_length"]["text"] in someone.text
        assert each["wire"]["name"] in someone.text
    assert "2 of 2" in someone.text
    at = f"/desk/bench/{two['id']}/{two['assemblies'][1]['tag']}"
    someone.go(at)
    assert "Cut already" not in someone.text
    cut_all(desk, two)
    someone.go(at)
    assert "Cut already: 2 of 2. Nothing more is to be cut for it." in someone.text
    someone.go("/desk/bench")
    assert two["boat"]["name"] not in someone.text
    assert "Nothing is waiting to be cut." in someone.text


def test_a_quote_that_nobody_accepted_is_not_in_the_list(desk: Flask, held: Json) -> None:
    bench = Colleague(desk, Role.BENCH)
    bench.go("/desk/bench")
    assert held["boat"]["name"] not in bench.text


def test_the_list_goes_on_after_ten_quotes(desk: Flask, demo: Json) -> None:
    demo["assemblies"] = [each for each in demo["assemblies"] if each["tag"] == "HALYARD"]
    client = desk.test_client()
    for place in range(11):
        accepted(client, client.post("/v1/quotes", json={**demo, "boat": {"name": f"Boat number {place:02}."}}).json)
    bench, seen = Colleague(desk, Role.BENCH), ""
    bench.go("/desk/bench")
    seen += bench.text
    bench.press("More quotes")
    seen += bench.text
    assert [place for place in range(11) if f"Boat number {place:02}." not in seen] == []


def test_of_many_that_fit_the_first_are_shown_and_it_is_said_that_there_are_more(
    desk: Flask, demo: Json, monkeypatch: pytest.MonkeyPatch
) -> None:
    demo["assemblies"] = [each for each in demo["assemblies"] if each["tag"] == "HALYARD"]
    client = desk.test_client()
    numbers = [accepted(client, client.post("/v1/quotes", json=demo).json)["number"] for _ in range(3)]
    bench = Colleague(desk, Role.BENCH)
    for most, shown in ((3, 3), (2, 2), (1, 1)):
        monkeypatch.setattr(bench_find, "MOST", most)
        for sought in ("HALYARD", "wagtail"):
            bench.go(f"/desk/bench/find?code={sought}")
            assert sum(each in bench.text for each in numbers) == shown
            assert ("More fit than are shown here" in bench.text) is (most < 3)
    bench.go(f"/desk/bench/find?code={numbers[0]} HALYARD")
    assert numbers[0] in bench.text


def test_a_page_of_the_api_that_ends_early_is_not_the_end_of_the_list(desk: Flask, two: Json, monkeypatch: pytest.MonkeyPatch) -> None:
    """ "A page ends early: it is shorter than `limit`, even empty, and still has `next`" (service/guides/find-a-quote.md)."""
    real, empty = calls.read, {"quotes": [], "next": "further"}

    def read(path: str, query: calls.Query | None = None) -> Any:
        if path != "/v1/quotes":
            return real(path, query)
        return real(path, {**(query or {}), "cursor": None}) if (query or {}).get("cursor") == "further" else empty

    monkeypatch.setattr(calls, "read", read)
    bench = Colleague(desk, Role.BENCH)
    bench.go("/desk/bench")
    assert two["boat"]["name"] in bench.text
    bench.go(f"/desk/bench/find?code={two['assemblies'][0]['tag']}")
    assert bench.at == f"/desk/bench/{two['id']}/{two['assemblies'][0]['tag']}"


def test_the_code_of_a_label_leads_to_its_assembly(desk: Flask, two: Json, quotes: Quotes) -> None:
    """Either code: with the service's own address in it, or with the number (service/documents/labels). A label of an earlier release names the
    quote's address alone.
    """
    stored = quotes.get(two["id"])
    assert stored is not None
    bench, base = Colleague(desk, Role.BENCH), "https://quotes.shop.example"
    for each in [
        *labels(quote_for_papers(stored), speech_in("en", "metric")),
        *labels(quote_for_papers(stored), speech_in("en", "metric"), base),
    ]:
        bench.go(f"/desk/bench/find?code={encoded(each.code, safe='')}")
        assert bench.at == f"/desk/bench/{two['id']}/{each.tag}"
    bench.go(f"/desk/bench/find?code={base}/v1/quotes/{two['id']}")
    assert [link for link in bench.links() if link.startswith(f"/desk/bench/{two['id']}/")] == [
        f"/desk/bench/{two['id']}/{one['tag']}" for one in two["assemblies"]
    ]


def test_a_tag_or_a_number_that_is_typed_leads_there_too(desk: Flask, two: Json) -> None:
    bench, (first, second) = Colleague(desk, Role.BENCH), [each["tag"] for each in two["assemblies"]]
    for typed, tag in ((first, first), (f" {second.lower()} ", second), (f"{two['number'].lower()} {first}", first)):
        bench.go(f"/desk/bench/find?code={encoded(typed)}")
        assert bench.at == f"/desk/bench/{two['id']}/{tag}"
    for typed in (two["number"], str(int(two["number"][-6:])), two["boat"]["name"]):
        bench.go(f"/desk/bench/find?code={encoded(typed)}")
        assert "Several fit. Choose:" in bench.text
        assert {first, second} == {link.rsplit("/")[-1] for link in bench.links() if link.startswith(f"/desk/bench/{two['id']}/")}
    for typed in ("NO-SUCH", "///", HOSTILE, "Q-2026-000099", f"{two['number']}/9/{first}", "/01a22ab0-e0e1-7524-9154-2f89544c1111"):
        bench.go(f"/desk/bench/find?code={encoded(typed)}")
        assert f"Nothing at the bench is called “{typed}”." in bench.text


def test_the_code_of_a_revision_that_counts_no_more_says_so_and_leads_on(desk: Flask, two: Json, demo: Json) -> None:
    demo["assemblies"][0]["quantity"] = 3
    revised = desk.test_client().post(f"/v1/quotes/{two['id']}/revisions", json=demo).json
    bench, tag = Colleague(desk, Role.BENCH), two["assemblies"][0]["tag"]
    bench.go(f"/desk/bench/find?code={two['number']}/1/{tag}")
    assert "DO NOT CUT" in bench.text
    assert two["assemblies"][0]["cut_length"]["text"] not in bench.text
    assert f"/desk/bench/{revised['id']}" in bench.links()


def test_the_sheet_has_the_figures_of_the_bench_sheet(desk: Flask, two: Json) -> None:
    said = desk.test_client().get(f"/v1/quotes/{two['id']}/bench-sheet", headers={"Accept": "application/json"}).json
    each = said["assemblies"][0]
    build, bench = each["build"], Colleague(desk, Role.BENCH)
    bench.go(f"/desk/bench/{two['id']}/{each['tag']}")
    figures = [build["cut_length"], *(build["finished"][name] for name in ("length", "minimum", "maximum", "tolerance"))]
    figures += [end["mark"] for end in build["ends"]] + [one["exposed"] for one in build["turnbuckle"]["screws"]]
    figures += [end["gauge"][name] for end in build["ends"] for name in ("before", "after_maximum", "after_minimum", "press_over")]
    assert [
        (one["metric"], one["imperial"]) for one in figures if one["metric"] not in bench.text or one["imperial"] not in bench.text
    ] == []
    assert [one for one in said["cautions"] if one not in bench.text] == []
    assert each["wire"]["name"] in bench.text
    assert bench.text.index(build["cut_length"]["imperial"]) < bench.text.index(build["cut_length"]["metric"])  # the quote's own first


def test_what_must_not_be_cut_has_no_figure_and_says_why_and_what_to_do(desk: Flask, held: Json) -> None:
    said = desk.test_client().get(f"/v1/quotes/{held['id']}/bench-sheet", headers={"Accept": "application/json"}).json
    (reason,) = said["assemblies"][1]["do_not_cut"]
    bench = Colleague(desk, Role.BENCH)
    bench.go(f"/desk/bench/{held['id']}/{said['assemblies'][1]['tag']}")
    assert "DO NOT CUT" in bench.text
    assert reason["message"] in bench.text
    assert reason["remedy"] in bench.text
    assert "Cut the wire to" not in bench.text
    assert " mm" not in bench.text
    bench.go(f"/desk/bench/{held['id']}")  # nobody accepted it
    assert "not to be cut now" in bench.text
    assert [each for each in held["assemblies"] if each["cut_length"] and each["cut_length"]["text"] in bench.text] == []


def test_drawing_and_labels_come_by_addresses_of_the_desk(desk: Flask, two: Json) -> None:
    bench, tag = Colleague(desk, Role.BENCH, "de"), two["assemblies"][0]["tag"]
    bench.go(f"/desk/bench/{two['id']}/{tag}")
    drawn = bench.client.get(f"/desk/bench/drawings/{two['id']}/{tag}", headers={"Accept": "image/*", "Accept-Language": "de"})
    assert (drawn.mimetype, drawn.headers["Content-Language"]) == ("image/svg+xml", "de")
    assert "script-src" not in drawn.headers["Content-Security-Policy"]
    bench.go(next(each for each in bench.links() if "/labels/" in each))
    assert (bench.reply.mimetype, bench.reply.data[:5]) == ("application/pdf", b"%PDF-")
    assert bench.go(f"/desk/bench/drawings/{two['id']}/NO-SUCH").status_code == 404
    assert "Hier ist nichts" in bench.text


def test_hostile_names_are_names(desk: Flask, demo: Json) -> None:
    demo["assemblies"] = demo["assemblies"][:1]
    demo["assemblies"][0].update(tag='A/B "C" <b>', note=HOSTILE)
    demo["boat"]["name"] = HOSTILE
    client = desk.test_client()
    quote = accepted(client, client.post("/v1/quotes", json=demo).json)
    bench = Colleague(desk, Role.BENCH)
    bench.go("/desk/bench")
    at = next(each for each in bench.links() if each.count("/") == 4)
    for address in (bench.at, at, f"/desk/bench/{quote['id']}", "/desk/bench/find?code=A%2FB"):
        bench.go(address)
        assert '<script>alert("' not in bench.reply.text
        assert HOSTILE in bench.text
        assert 'A/B "C" <b>' in bench.text
    drawn = next(each.get("src", "") for each in bench.page.iter("{http://www.w3.org/1999/xhtml}img"))
    assert bench.go(drawn).status_code == 200


def test_in_german_the_bench_is_german(desk: Flask, two: Json) -> None:
    bench = Colleague(desk, Role.BENCH, "de")
    bench.go(f"/desk/bench/{two['id']}/{two['assemblies'][0]['tag']}")
    assert bench.page.get("lang") == "de"
    for english in ("insertion", "shank", "Cautions", "turns out", "passed", "Wire 1x19"):
        assert english not in bench.text
    assert "ablängen" in bench.text
    bench.go("/desk/bench")
    assert "Wire 1x19" not in bench.text
    assert " ft " not in bench.text  # "Fuß", as the papers write it


def test_a_quote_or_a_tag_that_is_not_there_is_404(desk: Flask, two: Json) -> None:
    bench = Colleague(desk, Role.BENCH)
    for address in (f"/desk/bench/{two['id']}/NO-SUCH", "/desk/bench/01a22ab0-e0e1-7524-9154-2f89544c1111", "/desk/bench/x"):
        assert bench.go(address).status_code == 404

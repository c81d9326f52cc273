"""One length has one text: what a quote says of a wire stands on its bench sheet, label, drawing, rig sheet and cutting plan as the quote has it."""

from __future__ import annotations

import io
from collections.abc import Iterator
from typing import Any

import pytest
from pypdf import PdfReader

from service.demo import demo_names
from service.documents.bench_sheet import document as sheets
from service.documents.bench_sheet import paper as bench_papers
from service.documents.cutting_plan import bench_list
from service.documents.cutting_plan import paper as plan_papers
from service.documents.cutting_plan import svg as plan_drawings
from service.documents.labels import content
from service.documents.rig_sheet import svg as rig_sheets
from service.documents.speech import Speech, speech_in
from tests.counts import some_of
from tests.documents import made, rigs
from tests.documents.quotes import HEAD, case, demo
from tests.documents.test_bench_sheet import CHECKSUM, planned
from tests.documents.test_german_papers import visible

Json = dict[str, Any]
UNITS = ("metric", "imperial")


def documents() -> dict[str, Json]:
    """The demo boats in both units, and every rig of the drawings' tests."""
    found = {f"{name}, {units}": demo(place, display_units=units) for place, name in enumerate(demo_names()) for units in UNITS}
    found |= {"8 assemblies": case("8 assemblies, one on hold")}
    found |= {name.partition(", ")[0] if name.startswith("boat ") else name: document for name, document, _ in rigs.every()}
    return {name: {**HEAD, "checksum": CHECKSUM, **document} for name, document in found.items()}


DOCUMENTS = documents()


def ready(document: Json) -> Iterator[Json]:
    return (each for each in document["assemblies"] if each["readiness"] == "ready_to_cut")


def told(assembly: Json) -> Iterator[str]:
    """The quote's own texts of what is cut, of what comes out, and of how far the screws stand out."""
    setting = (assembly["turnbuckle"] or {}).get("build_setting") or {}
    for length in (assembly["cut_length"], assembly["target_length"], setting.get("upper_exposed"), setting.get("lower_exposed")):
        if length:
            yield length["text"]


def close(text: str) -> str:
    return "".join(text.replace("\u200b", "").split())


def at(whole: str, text: str) -> bool:
    """Whether a figure stands there, and not as the end of a longer one."""
    found = whole.find(text)
    while found >= 0:
        if not whole[max(0, found - 1) : found].isdigit():
            return True
        found = whole.find(text, found + 1)
    return False


@pytest.mark.parametrize(("name", "language"), some_of([(name, language) for name in DOCUMENTS for language in ("en", "de")], 16))
def test_drawing_label_rig_sheet_and_bench_sheet_write_what_the_quote_writes(name: str, language: str) -> None:
    document = DOCUMENTS[name]
    said, units = speech_in(language, document["display_units"]), document["display_units"]
    sheet = {each["tag"]: each["build"] for each in made.of(sheets.bench_sheet)(document, planned(document), language)["assemblies"]}
    labels = {each.tag: each for each in made.of(content.labels)(document, said)}
    rig = visible(made.of(rig_sheets.drawing)(document, language))
    for assembly in ready(document):
        build, finished, cut = sheet[assembly["tag"]], assembly["target_length"], said.local(assembly["cut_length"]["text"])
        assert build["cut_length"][units] == cut
        assert (build["finished"]["length"] or {units: None})[units] == (said.local(finished["text"]) if finished else None)
        setting = (assembly["turnbuckle"] or {}).get("build_setting")
        assert [one["exposed"][units] for one in (build["turnbuckle"] or {"screws": []})["screws"]] == (
            [said.local(setting[f"{screw}_exposed"]["text"]) for screw in ("upper", "lower")] if setting else []
        )
        shown = [each.value for each in labels[assembly["tag"]].lengths]
        assert shown == [*([said.local(finished["text"])] if finished else []), cut]
        drawn = visible(made.drawing(document, assembly, language))
        for text in told(assembly):
            assert at(drawn, said.local(text)), text
        assert said.say("cut %(length)s", length=cut) in drawn  # along the wire that is cut, and not only in the heading
        for stop in assembly["stops"]:
            at_stop = f"{said.local(stop['centre_from_upper_cut_end']['text'])} {said.say('stop %(stop)s, from top', stop=stop['stop'])}"
            assert at_stop in drawn
        for length in (assembly["cut_length"], finished):
            assert not length or at(rig, said.local(length["text"])), length


def row(cut: Json, said: Speech) -> list[str]:
    return [said.local(cut["length"]["text"]), said.local(cut["start"]["text"]), said.local(cut["end"]["text"])]


@pytest.mark.parametrize("name", some_of([*DOCUMENTS], 20))
def test_the_cutting_plan_and_all_of_its_papers_write_what_the_quote_writes(name: str) -> None:
    """Rounded from the tenths of a millimetre, a length could come out as the next 1/32 in."""
    document = DOCUMENTS[name]
    known = planned(document)
    assert known.plan is not None
    wanted = {each["tag"]: each["cut_length"] for each in ready(document)}
    seen = set()
    plan = {"id": "P-1", **known.plan}
    said = speech_in("en", document["display_units"])
    paper = plan_papers.content(plan, said, {})
    drawn, listed = visible(plan_drawings.drawing(plan)), bench_list.bench_list(plan).decode("utf-8-sig")
    rows = [cut for wire in paper["wires"] for each in wire["objects"] for cut in each["cuts"]]
    cuts = [cut for wire in plan["wires"] for use in wire["uses"] for cut in use["cuts"]]
    for printed, cut in zip(rows, cuts, strict=True):
        assert cut["length"] == wanted[cut["label"]]
        assert [printed["length"], printed["start"], printed["end"]] == row(cut, said)
        assert cut["start"]["mm"] != "0.0" or cut["end"] == cut["length"]
        assert cut["length"]["text"] in drawn
        assert cut["length"]["text"] in listed
        seen.add(cut["label"])
    for wire in plan["wires"]:
        for piece in wire["unplanned"]:
            assert piece["length"] == wanted[piece["label"]]
            seen.add(piece["label"])
    assert seen == set(wanted)


@pytest.mark.parametrize(("place", "units"), some_of([(place, units) for units in UNITS for place in (2, 0, 1)], 1))
def test_the_printed_pages_have_these_lengths_where_they_are_read(place: int, units: str) -> None:
    """Under `Cut the wire to`, `Finished length` and in the row of each step."""
    document = {**demo(place, display_units=units), "checksum": CHECKSUM}
    known = planned(document)
    overview, *pages = printed(made.of(bench_papers.paper)(document, known))
    (plan,) = ["".join(printed(plan_papers.paper({"id": "P-1", **(known.plan or {})})))]
    for assembly, page in zip(document["assemblies"], pages, strict=True):
        if assembly["readiness"] != "ready_to_cut":
            continue
        cut = close(assembly["cut_length"]["text"])
        assert f"Cutthewireto{cut}" in page
        if assembly["target_length"]:
            assert f"Finishedlength{close(assembly['target_length']['text'])}" in page
        assert f"{close(assembly['tag'])}{cut}" in overview
        assert f"{close(assembly['tag'])}{cut}" in plan
        setting = (assembly["turnbuckle"] or {}).get("build_setting") or {}
        for screw in ("upper", "lower") if setting else ():
            assert f"{screw}{close(setting[f'{screw}_exposed']['text'])}" in page


def printed(pdf: bytes) -> list[str]:
    return [close(page.extract_text()) for page in PdfReader(io.BytesIO(pdf)).pages]

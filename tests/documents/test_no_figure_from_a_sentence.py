"""Sentences are for people: with every text of the derivation, the findings, the sources and the notes replaced, drawings keep their geometry and
the bench sheet its figures."""

import copy
from xml.etree import ElementTree as ET

import pytest

from pricing.document import read
from service.documents.bench_sheet.document import bench_sheet
from service.documents.rig_sheet import svg as rig_sheet
from tests.counts import some_of

from . import made, rigs
from .picture import SVG
from .quotes import demo, requests
from .test_bench_sheet import KNOWN
from .test_rig_sheet_svg import EVERY as RIGS

LETTERED = {f"{SVG}{name}" for name in ("text", "title", "desc", "style", "svg")}  # `svg`: the picture itself, and the room of a text
SAID = {"says", "notes", "do_not_cut", "note"}  # of the bench sheet: what is a sentence by its meaning
ONE_LINE, OTHER = "Tuesday 12", "Zxq 987.6 mm"  # of a note: what is longer takes another line, and moves what stands below


def noted(document):
    """The document with a note on the whole and on each assembly."""
    return {**document, "note": ONE_LINE, "assemblies": [{**each, "note": ONE_LINE} for each in document["assemblies"]]}


def reworded(document):
    """The same with every sentence replaced, and findings as an earlier release had them: words alone."""
    found = copy.deepcopy(document)
    found["note"] = OTHER
    for finding in found["findings"]:
        _finding(finding)
    for each in found["assemblies"]:
        each["note"] = OTHER
        for line in each["derivation"]:
            line |= {"step": OTHER, "formula": OTHER, "source": OTHER, "inputs": {OTHER: OTHER}, "values": {}}
        for finding in each["findings"]:
            _finding(finding)
        for named in each["identified"]:
            named |= {"what": OTHER, "measured": OTHER, "candidates": [OTHER]}
        if each["strength"]:
            each["strength"]["source"] = OTHER
        if each["uncertainty"]:
            each["uncertainty"] |= {"largest": OTHER, "to_shrink": OTHER}
            for part in each["uncertainty"]["budget"]:
                part["contributor"] = OTHER
    for line in found["lines"]:
        line["note"] = OTHER
    return found


def _finding(finding):
    finding |= {"message": OTHER, "remedy": OTHER, "values": None, "wording": None}


def geometry(drawn):
    """Every element that is no lettering, with its attributes; the paper, as high as the lettering asks for, has no place of its own."""
    root = ET.fromstring(drawn)  # noqa: S314  # our own bytes
    return [
        (each.tag, sorted(each.attrib.items()))
        for each in root.iter()
        if each.tag not in LETTERED and not (each.tag == f"{SVG}rect" and "x" not in each.attrib)
    ]


def figures(sheet):
    """The sheet without its sentences."""
    if isinstance(sheet, dict):
        return {name: figures(each) for name, each in sheet.items() if name not in SAID}
    return [figures(each) for each in sheet] if isinstance(sheet, list) else sheet


EVERY = some_of(rigs.every(), 20)


@pytest.mark.parametrize(("name", "document", "assembly"), EVERY, ids=[name for name, _, _ in EVERY])
def test_a_drawing_keeps_its_geometry(name, document, assembly):
    place = document["assemblies"].index(assembly)
    before = noted(document)
    drawn = [made.drawing(each, each["assemblies"][place]) for each in (before, reworded(before))]
    assert drawn[0] != drawn[1]  # the note, at least, is said
    assert len(geometry(drawn[0])) > 10
    assert geometry(drawn[0]) == geometry(drawn[1])


@pytest.mark.parametrize("name", RIGS)
def test_a_rig_sheet_keeps_its_geometry(name):
    before = noted(RIGS[name])
    drawn = [rig_sheet.drawing(read(each)) for each in (before, reworded(before))]
    assert drawn[0] != drawn[1]
    assert geometry(drawn[0]) == geometry(drawn[1])


@pytest.mark.parametrize("place", range(len(requests())))
def test_a_bench_sheet_keeps_its_figures(place):
    before = noted(demo(place))
    sheets = [bench_sheet(read(each), KNOWN) for each in (before, reworded(before))]
    assert sheets[0] != sheets[1]
    assert [each["build"]["cut_length"] for each in sheets[0]["assemblies"] if each["build"]]
    assert figures(sheets[0]) == figures(sheets[1])

"""The drawing that stands beside an assembly's figures in a quotation: clear lettering, the document's lengths, nothing of the wire to cut."""

from __future__ import annotations

from xml.etree import ElementTree as ET

import pytest

from service.documents.assembly.tongue import Tongue
from service.documents.assembly_svg import inset
from service.documents.drafting.sheet import STANDING
from service.documents.quotation.speech import Speech

from . import rigs
from .clearances import crossing
from .picture import Picture

BUILT = [each for each in rigs.every() if each[2]["readiness"] != "hold"]
GERMAN = Tongue(Speech("de", "metric").messages(), ",")
PAGE_MM = 240  # less than a page of Letter within its margins


def look(document, assembly, **more):
    return Picture(ET.fromstring(inset(document, assembly, **more)))  # noqa: S314  # our own bytes


@pytest.mark.parametrize("tongue", [{}, {"tongue": GERMAN}], ids=["en", "de"])
@pytest.mark.parametrize(("name", "document", "assembly"), BUILT, ids=[name for name, _, _ in BUILT])
def test_lettering_keeps_clear_and_within_the_picture(name, document, assembly, tongue):
    picture = look(document, assembly, **tongue)
    assert crossing(picture, STANDING.width) == []
    left, top, wide, high = map(float, picture.root.get("viewBox").split())
    assert all(left <= text.left <= text.right <= left + wide and top <= text.top <= text.bottom <= top + high for text in picture.texts)
    assert float(picture.root.get("height").removesuffix("mm")) < PAGE_MM


@pytest.mark.parametrize(("name", "document", "assembly"), BUILT, ids=[name for name, _, _ in BUILT])
def test_it_shows_the_lengths_of_the_document_and_not_the_cut_length(name, document, assembly):
    said = [text.said for text in look(document, assembly).texts]
    for field, word in (("target_length", "finished"), ("measured_length", "measured")):
        if assembly[field]:
            assert f"{word} {assembly[field]['text']}" in said
    for stop in assembly["stops"]:
        assert stop["centre_from_upper_bearing"]["text"] in said
    assert not [each for each in said if each.startswith("cut ")]


def test_on_hold_there_is_nothing_to_draw():
    document, assembly = rigs.one(**{"wire": rigs.wire()} | rigs.KINDS["on hold"])
    assert inset(document, assembly) is None


def test_in_german_every_figure_has_its_comma_and_stays_the_same_number():
    document, assembly = rigs.one(**{"wire": rigs.wire()} | rigs.KINDS["open turnbuckle"])
    english = [text.said for text in look(document, assembly).texts]
    german = [text.said for text in look(document, assembly, tongue=GERMAN).texts]
    assert f"fertig {assembly['target_length']['text'].replace('.', ',')}" in german
    assert "34,0 mm" in german
    assert "34.0 mm" in english

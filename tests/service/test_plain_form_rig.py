"""The rig and the drawing of the plain form: what is offered where a wire is chosen, and where a part of the drawing leads."""

from __future__ import annotations

import base64
import hashlib
import html
import re

import pytest
from flask import Flask

from tests.service.plain_form import Visitor, begun, cap_shroud


@pytest.fixture
def visitor(served: Flask) -> Visitor:
    client = served.test_client()
    del client.environ_base["HTTP_AUTHORIZATION"]
    return Visitor(client)


def test_a_part_of_the_drawing_leads_to_its_questions_and_keeps_what_is_answered(visitor: Visitor) -> None:
    visitor.press("next", boat__name="Wagtail")
    begun(visitor)
    visitor.press("next", turnbuckle__setting__upper_exposed="1 1/8 in", turnbuckle__setting__lower_exposed="1 in", read_with="caliper")
    leading = re.findall(r'class="part part-\d+" name="go" value="edit-0-(\w+)" aria-label="([^"]+)"', visitor.page.html)
    assert {label.split(":")[0]: section for section, label in leading}.items() >= {"Upper end": "upper", "Wire": "wire"}.items()
    assert visitor.step == "wire"
    visitor.press("edit-0-upper", wire_kind="1x19 | 316")
    assert visitor.step == "upper"
    visitor.press("edit-0-before")
    assert visitor.page.values["turnbuckle.setting.upper_exposed"] == ["1 1/8 in"]
    assert visitor.press("edit-0-wire").values["wire_kind"] == ["1x19 | 316"]


def test_the_place_of_each_part_is_in_the_style_that_the_page_allows(visitor: Visitor) -> None:
    visitor.press("next", boat__name="Wagtail")
    style = re.search("<style>(.*?)</style>", visitor.page.html, re.DOTALL)
    assert style
    assert ".part-0 {" in style[1]
    digest = base64.b64encode(hashlib.sha256(html.unescape(style[1]).encode()).digest()).decode()
    assert f"'sha256-{digest}'" in visitor.answer.headers["Content-Security-Policy"]


def test_where_the_wire_is_chosen_the_same_on_the_other_side_is_offered(visitor: Visitor) -> None:
    cap_shroud(visitor)
    visitor.press("add")
    assert "The same as CAP-P, on the other side" in visitor.page.text
    copied = visitor.press("same-0")
    assert (visitor.step, visitor.page.asked[0]) == ("before", "alike")
    assert "CAP-S" in copied.text
    assert "same-0" not in copied.buttons


def test_it_is_not_offered_for_another_wire_nor_where_it_is_there_already(visitor: Visitor) -> None:
    cap_shroud(visitor)
    visitor.press("add")
    visitor.press("check", place="forestay centre")
    assert "same-0" not in visitor.page.buttons
    visitor.press("check", place="cap_shroud starboard")
    assert "same-0" in visitor.page.buttons
    visitor.press("same-0")
    visitor.press("review")
    visitor.press("add")
    assert not [each for each in visitor.page.buttons if each.startswith("same")]

"""The page of an invented shop with the form's element, embedded with the same lines that shops are told to use."""

from __future__ import annotations

from typing import Any

from markupsafe import Markup

from service.encoding.languages import LANGUAGES
from service.style import style_of
from service.web_form.answering import Described, shown
from service.web_form.module import lines_of_a_page
from service.web_form.pages import FOLDER, environment, written

STYLE = style_of(FOLDER / "shop.css")
EXAMPLE: dict[str, Any] = {  # an invented cap shroud, for anyone without a wire at hand
    "place": "cap_shroud port", "unusual": "no", "turnbuckle_is": "open kept",
    "turnbuckle.setting.upper_exposed": "1 1/8 in", "turnbuckle.setting.lower_exposed": "1 1/16 in", "read_with": "caliper",
    "wire_kind": "1x19 | 316", "wire.diameter": "3/16 in", "upper.terminal": "tee", "lower.terminal": "stud", "lower.attachment": "swage",
    "lower.screw": "3/8-24 UNF | right", "turnbuckle.lower_outer": "toggle | 3/8 in", "measured_from": "whole",
    "turnbuckle.dimensions.body": "4 in", "turnbuckle.dimensions.runout": "1 13/64 in",
    "measurement.readings": ["29 ft 10 3/16 in", "29 ft 10 1/4 in"], "laid": "flat",
}  # fmt: skip


def shop_page(form: Described, service: str, key: str, sheet: str) -> bytes:
    """The page in the description's language. `service`: the URL that the form calls; `key`: a publishable one; `sheet`: the URL for
    measuring sheets, or empty.
    """
    language = form["language"]
    example = [each for each in shown(form, "assembly", EXAMPLE) if each.path in EXAMPLE]
    lines = lines_of_a_page(service, key, language).rstrip()
    script, element = lines.split("\n")
    return (
        environment(language)
        .get_template("shop.html")
        .render(
            language=language, languages=LANGUAGES, style=Markup(STYLE), script=Markup(script), element=Markup(element),  # noqa: S704  # own texts
            lines=lines, sheet=sheet, example=[(each.question["label"], written(each)) for each in example],
        )
        .encode()
    )  # fmt: skip

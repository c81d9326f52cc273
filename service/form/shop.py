"""The page of an invented shop with the form's element in it, by the very lines that a shop is told to use."""

from __future__ import annotations

from typing import Any

from markupsafe import Markup

from service.form.answering import Described, shown
from service.form.module import lines_of_a_page
from service.form.pages import FOLDER, environment, written
from service.form.speech import LANGUAGES

STYLE = (FOLDER / "shop.css").read_text(encoding="utf-8")
EXAMPLE: dict[str, Any] = {  # an invented cap shroud: something to type for who has no wire at hand
    "role": "cap_shroud", "side": "port", "tag": "CAP-P", "turnbuckle": True,
    "turnbuckle.setting.upper_exposed": "1 1/8 in", "turnbuckle.setting.lower_exposed": "1 1/16 in", "turnbuckle.setting.recorded_with": "caliper",
    "wire.construction": "1x19", "wire.material": "316", "wire.diameter": "3/16 in", "upper.terminal": "tee", "upper.attachment": "swage",
    "lower.terminal": "stud", "lower.attachment": "swage", "lower.thread": "3/8-24 UNF", "lower.hand": "right",
    "turnbuckle.body": "open", "turnbuckle.hand": "right", "turnbuckle.lower_end": "toggle", "turnbuckle.pin": "3/8 in", "turnbuckle.reuse": True,
    "measurement.includes_turnbuckle": True, "measurement.readings": ["29 ft 10 3/16 in", "29 ft 10 1/4 in"],
    "measurement.support": "flat", "measurement.rig_setting": "everyday",
}  # fmt: skip


def shop_page(form: Described, service: str, key: str, sheet: str) -> bytes:
    """The page in the description's language. `service`: where the form asks; `key`: a publishable one; `sheet`: where a sheet is taken, or nothing."""
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

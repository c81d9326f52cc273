"""The answers that fill in the form at one tap: the cap shroud of an invented boat, as README sends it."""

from __future__ import annotations

from service.web_form.answering import Answers

REQUEST: Answers = {"boat.name": "Wagtail", "boat.length_overall": "27 ft 6 in"}
ASSEMBLY: Answers = {
    "place": "cap_shroud port", "unusual": "no", "turnbuckle_is": "open kept",
    "turnbuckle.setting.upper_exposed": "1 1/8 in", "turnbuckle.setting.lower_exposed": "1 1/16 in", "read_with": "caliper",
    "wire_kind": "1x19 | 316", "wire.diameter": "3/16 in",
    "upper.terminal": "tee", "upper.attachment": "swage",
    "lower.terminal": "stud", "lower.attachment": "swage", "lower.screw": "3/8-24 UNF | right",
    "turnbuckle.lower_outer": "toggle | 3/8 in", "turnbuckle.dimensions.body": "4 in", "turnbuckle.dimensions.runout": "1 13/64 in",
    "measured_from": "whole", "measurement.readings": ["29 ft 10 3/16 in", "29 ft 10 1/4 in"],
    "laid": "else", "measurement.support": "flat", "measurement.temperature": "64 degF",
}  # fmt: skip
EXAMPLE = {"request": REQUEST, "assembly": ASSEMBLY}

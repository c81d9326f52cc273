"""Boats as hypothesis makes them, over the whole demo catalogue: requests as JSON would hold them."""

from datetime import date
from functools import cache

from hypothesis import strategies as st

from pricing.catalogue import DEMO_FOLDER, load_catalogue
from pricing.costing.rates import price_table
from pricing.document import rendered
from pricing.quote import make_quote
from service.schemas import read_request

DAY = date(2026, 11, 25)


@cache
def shop():
    catalogue = load_catalogue(DEMO_FOLDER)
    return catalogue, price_table(catalogue)


def quote(request):
    catalogue, prices = shop()
    return rendered(make_quote(read_request(request, prices.at(DAY).price_lists()), catalogue, prices, DAY))


def _sizes():
    catalogue, _ = shop()
    return sorted({(row.construction, row.size) for row in catalogue.tables.wires if row.material == "316"})


@st.composite
def ends(draw, construction):
    eyes = [] if "1x19" in construction else ["thimble_eye"]
    terminal = draw(st.sampled_from(["fork", "eye", "tee", "toggle", "ball", *eyes]))
    return {"terminal": terminal, "attachment": "sleeve" if terminal == "thimble_eye" else "swage"}


@st.composite
def assemblies(draw, tag="A", least=1200, most=15000):
    construction, size = draw(st.sampled_from(_sizes()))
    readings = draw(st.lists(st.integers(least * 2, most * 2), min_size=1, max_size=1))
    base = readings[0]
    more = draw(st.lists(st.integers(-3, 3), max_size=3))
    made = {
        "tag": tag,
        "role": draw(st.sampled_from(["backstay", "forestay", "lifeline_upper", "pennant", "halyard"])),
        "side": draw(st.sampled_from(["port", "starboard", "centre"])),
        "wire": {"construction": construction, "material": "316", "diameter": size},
        "upper": draw(ends(construction)),
        "lower": draw(ends(construction)),
        "measurement": {"readings": [f"{each / 2} mm" for each in (base, *(base + off for off in more))], "support": "flat"},
    }
    if draw(st.booleans()):
        thread = draw(st.sampled_from(["1/4-28 UNF", "5/16-24 UNF", "3/8-24 UNF", "1/2-20 UNF", "M6", "M8", "M10", "M12"]))
        made["lower"] = {"terminal": "stud", "attachment": "swage", "thread": thread, "hand": "right"}
        made["turnbuckle"] = {
            "body": draw(st.sampled_from(["open", "tubular"])),
            "thread": thread,
            "lower_end": draw(st.sampled_from(["toggle", "fork", "eye"])),
            "reuse": draw(st.booleans()),
            "setting": {
                "upper_exposed": f"{draw(st.integers(0, 90))} mm",
                "lower_exposed": f"{draw(st.integers(0, 90))} mm",
                "recorded_with": "caliper",
            },
        }
        made["measurement"]["includes_turnbuckle"] = draw(st.booleans())
    return made

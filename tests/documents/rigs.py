"""Quote documents made by the engine from the demo shop, for drawings: the demo boats, the awkward ones, and one of every kind of fitting."""

import json
from datetime import date
from functools import lru_cache
from pathlib import Path

from pricing.catalogue import DEMO_FOLDER, load_catalogue
from pricing.costing.rates import price_table
from pricing.document import rendered
from pricing.quote import make_quote
from service.demo import demo_names, demo_request
from service.schemas import read_request
from tests.plain_yaml import read_yaml

CASES = sorted((Path(__file__).parents[1] / "cases").glob("*.yaml"))
DAY = date(2026, 11, 25)


@lru_cache(maxsize=1)
def shop():
    catalogue = load_catalogue(DEMO_FOLDER)
    return catalogue, price_table(catalogue)


def quoted(request):
    catalogue, prices = shop()
    return rendered(make_quote(read_request(request, prices.at(DAY).price_lists()), catalogue, prices, DAY))


def one(units="metric", **assembly):
    """A quote of one assembly, and that assembly."""
    document = quoted({"display_units": units, "boat": {"name": "Gull"}, "assemblies": [{"tag": "A-1", "role": "pennant", **assembly}]})
    return document, document["assemblies"][0]


def wire(diameter="5 mm", construction="1x19"):
    return {"construction": construction, "material": "316", "diameter": diameter}


def swaged(terminal, **more):
    return {"terminal": terminal, "attachment": "swage", **more}


def read(length, **more):
    return {"readings": [length, length], "support": "flat", "tape_class": "I", "rig_setting": "everyday", **more}


def turnbuckle(body="open", upper="34 mm", lower="31.5 mm", **more):
    setting = {"upper_exposed": upper, "lower_exposed": lower, "recorded_with": "caliper", "read_from": "body"}
    return {"body": body, "thread": "M10", "reuse": True, "setting": setting, **more}


STUD = swaged("stud", thread="M10", hand="right")
EYE = {"terminal": "thimble_eye", "attachment": "sleeve"}
WITH_TURNBUCKLE = read("9214 mm", includes_turnbuckle=True)
STOPS = [
    {"kind": "ball", "from": "upper", "position": f"{300 + 400 * at} mm", "bears_toward": "upper", "ball": "5/16 in"} for at in range(20)
]
HELD = {
    "wire": wire(),
    "upper": swaged("tee"),
    "lower": STUD,
    "measurement": WITH_TURNBUCKLE,
    "turnbuckle": {"body": "open", "thread": "M10", "lower_end": "toggle", "reuse": True},
}
KINDS = {
    "open turnbuckle": {"upper": swaged("tee"), "lower": STUD, "measurement": WITH_TURNBUCKLE, "turnbuckle": turnbuckle(lower_end="toggle")},
    "tubular turnbuckle": {"upper": swaged("toggle"), "lower": STUD, "measurement": WITH_TURNBUCKLE, "turnbuckle": turnbuckle("tubular", lower_end="toggle")},
    "nearly closed": {"upper": swaged("eye"), "lower": STUD, "measurement": WITH_TURNBUCKLE, "turnbuckle": turnbuckle(lower="0 mm", lower_end="fork")},
    "turnbuckle above": {
        "upper": {**STUD, "links": [{"kind": "shackle"}]}, "lower": swaged("eye"), "measurement": {**WITH_TURNBUCKLE, "includes_links": True},
        "turnbuckle": turnbuckle(at="upper", upper_end="fork"),
    },
    "two screws": {
        "wire": wire("4 mm"), "upper": swaged("fork", pin="8 mm"), "lower": swaged("eye", pin="8 mm"), "measurement": WITH_TURNBUCKLE,
        "turnbuckle": turnbuckle(upper="20 mm", lower="22 mm", upper_end="fork", lower_end="fork") | {"thread": "M8"},
    },
    "to the stud": {
        "upper": swaged("ball"), "lower": STUD, "measurement": read("5 m", includes_turnbuckle=False),
        "turnbuckle": {"body": "open", "thread": "M10", "lower_end": "toggle"},
    },
    "bare stud": {"wire": wire("6 mm"), "upper": swaged("stud", thread="M12", hand="right"), "lower": swaged("tee"), "measurement": read("3 m")},
    "links": {
        "wire": wire("8 mm"), "upper": {"terminal": "fork", "attachment": "compression", "links": ["toggle", "shackle"]},
        "lower": {"terminal": "eye", "attachment": "compression", "links": ["toggle", "toggle"]}, "measurement": read("12 m", includes_links=True),
    },
    "shackle in shackle": {
        "upper": swaged("eye", links=["shackle", "shackle", "toggle"]), "lower": swaged("fork", links=["shackle", "shackle"]),
        "measurement": read("9 m", includes_links=True),
    },
    "bare at both ends": {
        "wire": wire("12 mm", "7x19"), "upper": {"terminal": "none", "leave": "150 mm"}, "lower": {"terminal": "none", "leave": "9 m"}, "measurement": read("140 m"),
    },
    "thick": {"wire": wire("12 mm"), "upper": swaged("fork"), "lower": swaged("toggle"), "measurement": read("45 m")},
    "thin": {"wire": wire("1/16 in", "7x19"), "upper": EYE, "lower": EYE, "measurement": read("30 m")},
    "stops": {"wire": wire("4 mm", "7x19"), "upper": EYE, "lower": EYE, "measurement": read("9 m"), "stops": STOPS, "role": "halyard"},
    "short": {"wire": wire("4 mm"), "upper": swaged("fork"), "lower": swaged("eye"), "measurement": read("300 mm"), "role": "gate_wire"},
    "hardly any wire": {
        "wire": wire("4 mm"), "upper": swaged("fork"), "lower": swaged("eye"), "measurement": read("150 mm"), "role": "gate_wire",
    },
    "bare below": {"upper": swaged("eye"), "lower": {"terminal": "none", "leave": "900 mm"}, "measurement": read("9 m")},
    "bare above": {"upper": {"terminal": "none", "leave": "10 mm"}, "lower": swaged("fork"), "measurement": read("9 m")},
    "on hold": HELD,
}  # fmt: skip


@lru_cache(maxsize=1)
def every():
    """(name, document, assembly) of everything here, in both units where it is one of the kinds."""
    found = []
    for units in ("metric", "imperial"):
        for name, kind in KINDS.items():
            found.append((f"{name}, {units}", *one(units, **({"wire": wire()} | kind))))
    boats = [json.loads(demo_request(name)) for name in demo_names()]
    boats += [read_yaml(path.read_text(encoding="utf-8"))["request"] for path in CASES]
    for at, boat in enumerate(boats):
        document = quoted(boat)
        found += [(f"boat {at}, {assembly['tag']}", document, assembly) for assembly in document["assemblies"]]
    return found

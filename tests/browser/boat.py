"""An invented boat of eight wires: what is typed, page by page, and the request that it must become, both written by hand."""

STEEL = {"construction": "1x19", "material": "316"}
TOP_TEE, TOP_FORK = {"terminal": "tee", "attachment": "swage"}, {"terminal": "fork", "attachment": "swage"}


def stud(thread):
    return {"terminal": "stud", "attachment": "swage", "thread": thread, "hand": "right"}


def screws(upper, lower, tool):
    return {"upper_exposed": upper, "lower_exposed": lower, "recorded_with": tool}


CAP = {
    "wire": {**STEEL, "diameter": "3/16 in"}, "upper": TOP_TEE, "lower": stud("3/8-24 UNF"),
}  # fmt: skip
CAP_BODY = {"body": "open", "hand": "right", "lower_end": "toggle", "pin": "3/8 in", "reuse": True}
LOW = {"wire": {**STEEL, "diameter": "5/32 in"}, "upper": {**TOP_FORK, "pin": "5/16 in"}, "lower": stud("5/16-24 UNF")}
LOW_BODY = {"body": "open", "hand": "right", "lower_end": "toggle", "pin": "5/16 in", "reuse": True}
LIFE = {
    "wire": {**STEEL, "diameter": "5/32 in"},
    "upper": {**TOP_FORK, "pin": "5/16 in"},
    "lower": {"terminal": "eye", "attachment": "compression", "pin": "5/16 in"},
}
LAID = {"support": "flat"}
HOW = {**LAID, "rig_setting": "everyday"}

REQUEST = {
    "boat": {"name": "Whimbrel", "length_overall": "27 ft 6 in"},
    "display_units": "imperial",
    "assemblies": [
        {"tag": "CAP-P", "role": "cap_shroud", "side": "port", **CAP, "turnbuckle": {**CAP_BODY, "setting": screws("1 1/8 in", "1 1/16 in", "caliper")},
         "measurement": {"readings": ["29 ft 10 3/16 in", "29 ft 10 1/4 in"], "includes_turnbuckle": True, **HOW, "temperature": "64 degF"}},
        {"tag": "CAP-S", "role": "cap_shroud", "side": "starboard", **CAP, "turnbuckle": {**CAP_BODY, "setting": screws("1 1/4 in", "1 1/8 in", "caliper")},
         "measurement": {"readings": ["29 ft 10 3/8 in", "29 ft 10 5/16 in"], "includes_turnbuckle": True, **HOW}},
        {"tag": "LOW-P", "role": "lower_shroud", "side": "port", **LOW, "turnbuckle": {**LOW_BODY, "setting": screws("1 in", "15/16 in", "pen_mark")},
         "measurement": {"readings": ["14 ft 6 5/8 in"], "includes_turnbuckle": False, **HOW}},
        {"tag": "LOW-S", "role": "lower_shroud", "side": "starboard", **LOW, "turnbuckle": {**LOW_BODY, "setting": screws("1 1/16 in", "1 in", "pen_mark")},
         "measurement": {"readings": ["14 ft 6 3/4 in"], "includes_turnbuckle": False, **HOW}},
        {"tag": "FORESTAY", "role": "forestay", "side": "centre", "wire": {**STEEL, "diameter": "3/16 in"},
         "upper": {**TOP_FORK, "pin": "3/8 in"}, "lower": {"terminal": "eye", "attachment": "swage", "pin": "3/8 in", "links": [{"kind": "toggle", "pin": "3/8 in"}]},
         "measurement": {"readings": ["31 ft 1 1/2 in", "31 ft 1 9/16 in", "31 ft 1 1/2 in"], "includes_links": True, "upper_datum": "pin_centre", **LAID}},
        {"tag": "BACKSTAY", "role": "backstay", "side": "centre", "wire": {**STEEL, "diameter": "3/16 in"},
         "upper": {"terminal": "eye", "attachment": "swage", "pin": "3/8 in"}, "lower": stud("3/8-24 UNF"),
         "turnbuckle": {"body": "open", "hand": "right", "lower_end": "fork", "pin": "3/8 in", "reuse": False, "like_for_like": True, "setting": screws("21 mm", "19 mm", "caliper")},
         "measurement": {"readings": ["10271.1 mm"], "includes_turnbuckle": True, **HOW}},
        {"tag": "LIFE-P", "role": "lifeline_lower", "side": "port", **LIFE, "measurement": {"readings": ["17 ft 11 5/8 in", "17 ft 11 5/8 in"], **LAID}},
        {"tag": "LIFE-S", "role": "lifeline_lower", "side": "starboard", **LIFE, "measurement": {"readings": ["17 ft 11 3/4 in", "17 ft 11 11/16 in"], **LAID}},
    ],
    "customer": {"name": "Ada Example", "email": "owner@example.org"},
    "delivery": "ship",
}  # fmt: skip
COPIES = {"CAP-S", "LOW-S", "LIFE-S"}


def answers(value, path=""):
    """The leaves of a request by the questions' paths; lists of objects count from 1."""
    found = {}
    for name, each in value.items():
        here = f"{path}{name}"
        if isinstance(each, dict):
            found |= answers(each, f"{here}.")
        elif isinstance(each, list) and isinstance(each[0], dict):
            for place, one in enumerate(each, 1):
                found |= answers(one, f"{here}.{place}.")
        else:
            found[here] = each
    return found


def answers_of(assembly):
    """What is answered for an assembly, whether it has a turnbuckle too."""
    return {"turnbuckle": "turnbuckle" in assembly, **answers(assembly)}
